/**
 * Records for a plan out of a run: one instrument's strings, one room, all ratios that were recorded there.
 *
 * A string of the instrument is the run's string of its own name or, failing that, one of the same pitch: bare strings stand for any
 * instrument's. A failed outcome never locked. A claim made before the pluck counts as made at once: it is what the display shows.
 */
import { instrumentFigures } from '../instruments/figures.ts'
import type { Instrument } from '../instruments/instrument.ts'
import { centsBetween } from '../maths/units.ts'
import { Problem } from '../problem.ts'
import { methodNames } from '../score/summary.ts'
import { instrumentStrings, noteOf } from '../study/instrumentstrings.ts'
import { type Header, trialCount } from '../study/record.ts'
import type { Outcome, StudyString } from '../study/study.ts'
import { detuneCentsOf, harderDbOf } from '../study/trialscene.ts'
import { partsOfClaims } from './ownclaims.ts'
import { planString } from './planstring.ts'
import type { PlanCell, PlanRecords } from './records.ts'
import { atUsualForce } from './usualforce.ts'

/** Another pitch than this near is another string: half a quarter tone. */
const samePitchCents = 25

/** @throws Problem for a room or a string that the run does not hold, and what to run instead. */
export function recordsOf(
  header: Header,
  outcomes: readonly Outcome[],
  instrument: Instrument,
  roomId: string,
): PlanRecords {
  const { study } = header
  if (!study.rooms.some(({ id }) => id === roomId)) {
    throw new Problem(`no room "${roomId}" in this run; it has ${study.rooms.map(({ id }) => id).join(', ')}`, 'room')
  }
  const nameIn = methodNames(study.methods)
  const figures = instrumentFigures(instrument)
  const strings = instrumentStrings(instrument).map((string, place) => {
    const number = figures.strings.length - place
    return {
      planned: planString(string, figures, instrument, number),
      recorded: recordedFor(string, study.strings, instrument.id),
    }
  })
  const snrsDb = [...study.snrsDb].sort((a, b) => a - b)
  const methodCount = study.methods.length
  const complete = Math.floor(outcomes.length / methodCount)
  const heard = strings.map(({ recorded }) =>
    snrsDb.map((snrDb): Omit<PlanCell, 'noiseCents'> => {
      const first = firstTrialOf(header, recorded.id, roomId, snrDb)
      const n = Math.max(0, Math.min(study.repeats, complete - first))
      if (n === 0) throw new Problem(`no pluck of ${recorded.id} at ${snrDb} dB in ${roomId} is in this run yet`, 'run')
      const lockS = new Float64Array(methodCount * n).fill(Number.NaN)
      const errorCents = new Float64Array(methodCount * n).fill(Number.NaN)
      for (let trial = 0; trial < n; trial++) {
        for (let method = 0; method < methodCount; method++) {
          const outcome = outcomes[(first + trial) * methodCount + method]
          if (outcome.state === 'failed' || outcome.score.claim === 'none') continue
          lockS[method * n + trial] = Math.max(0, outcome.score.lockS)
          errorCents[method * n + trial] = outcome.score.claimCents
        }
      }
      const detuneCents = Float64Array.from({ length: n }, (_, repeat) =>
        detuneCentsOf(study, recorded.id, { repeat, snrDb }),
      )
      return { snrDb, n, detuneCents, lockS, errorCents }
    }),
  )
  const told = strings.map(({ recorded }, string) => {
    const { n } = heard[string][0]
    const first = firstTrialOf(header, recorded.id, roomId, snrsDb[0])
    const lowest = { snrDb: snrsDb[0] }
    const harderDb = Float64Array.from({ length: n }, (_, repeat) =>
      harderDbOf(study, recorded.id, { ...lowest, repeat }),
    )
    const offsetsCents = new Float64Array(methodCount * n)
    const ownCents = new Float64Array(methodCount * n)
    const cells = heard[string].map(
      (cell): PlanCell => ({ ...cell, noiseCents: new Float64Array(methodCount * cell.n) }),
    )
    for (let method = 0; method < methodCount; method++) {
      const own = Float64Array.from({ length: n }, (_, trial) => {
        const outcome = outcomes[(first + trial) * methodCount + method]
        return outcome.state === 'scored' ? outcome.score.offsetCents : Number.NaN
      })
      const usual = study.unevenDb === undefined ? own : atUsualForce(own, harderDb)
      const quiet = usual.map((cents) => (Number.isNaN(cents) ? 0 : cents))
      const errors = cells.map((cell) =>
        Float64Array.from({ length: n }, (_, trial) =>
          trial < cell.n ? cell.errorCents[method * cell.n + trial] : Number.NaN,
        ),
      )
      const parts = partsOfClaims(errors)
      offsetsCents.set(quiet, method * n)
      ownCents.set(parts.ownCents, method * n)
      for (const [ratio, cell] of cells.entries())
        cell.noiseCents.set(parts.noiseCents[ratio].subarray(0, cell.n), method * cell.n)
    }
    return { offsetsCents, ownCents, cells }
  })
  return {
    offsetsCents: told.map(({ offsetsCents }) => offsetsCents),
    ownCents: told.map(({ ownCents }) => ownCents),
    room: roomId,
    strings: strings.map(({ planned }) => planned),
    methods: study.methods.map((choice) => ({ id: nameIn(choice) })),
    snrsDb,
    cells: told.map(({ cells }) => cells),
    waitedS: study.takeS - study.leadS,
    unseen: true,
  }
}

/** Trials are numbered string, room, ratio, repeat. */
function firstTrialOf({ study }: Header, string: string, room: string, snrDb: number): number {
  const { strings, rooms, snrsDb, repeats } = study
  const cell =
    (strings.findIndex(({ id }) => id === string) * rooms.length + rooms.findIndex(({ id }) => id === room)) *
      snrsDb.length +
    snrsDb.indexOf(snrDb)
  return Math.min(cell * repeats, trialCount(study))
}

function recordedFor(string: StudyString, recorded: readonly StudyString[], instrument: string): StudyString {
  const found =
    recorded.find(({ id }) => id === string.id) ??
    recorded.find(({ targetHz }) => Math.abs(centsBetween(targetHz, string.targetHz)) < samePitchCents)
  if (found !== undefined) return found
  throw new Problem(
    `this run has no ${noteOf(string)}: record it with sweep plan --instrument ${instrument}`,
    `instrument ${instrument}`,
  )
}
