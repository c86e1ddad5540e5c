/**
 * Records for a plan out of a run: one instrument's strings, one room, all ratios that were recorded there.
 *
 * A string of the instrument is the run's string of its own name or, failing that, one of the same pitch: bare strings stand for any
 * instrument's. A failed outcome never locked. A claim made before the pluck counts as made at once: it is what the display shows.
 */
import { instrumentFigures } from '../instruments/figures.ts'
import type { Instrument } from '../instruments/instrument.ts'
import { median } from '../maths/statistics.ts'
import { centsBetween } from '../maths/units.ts'
import { Problem } from '../problem.ts'
import { methodNames } from '../score/summary.ts'
import { instrumentStrings, noteOf } from '../study/instrumentstrings.ts'
import { type Header, trialCount } from '../study/record.ts'
import type { Outcome, StudyString } from '../study/study.ts'
import { detuneCentsOf, harderDbOf, stringOfRepeat } from '../study/trialscene.ts'
import { usualByForce } from './byforce.ts'
import { type ClaimParts, partsOfClaims } from './ownclaims.ts'
import { planString } from './planstring.ts'
import type { PlanCell, PlanRecords } from './records.ts'

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
  const snrsDb = [...study.snrsDb].sort((a, b) => a - b)
  const told = instrumentStrings(instrument).map((string, place) => {
    const recorded = recordedFor(string, study.strings, instrument.id)
    return {
      planned: planString(string, figures, instrument, figures.strings.length - place),
      ...stringRecords(snrsDb.map((snrDb) => heardAt(header, outcomes, recorded.id, roomId, snrDb))),
    }
  })
  return {
    offsetsCents: told.map(({ offsetsCents }) => offsetsCents),
    room: roomId,
    strings: told.map(({ planned }) => planned),
    methods: study.methods.map((choice) => ({ id: nameIn(choice) })),
    snrsDb,
    cells: told.map(({ cells }) => cells),
    waitedS: study.takeS - study.leadS,
    unseen: true,
  }
}

/** A cell before it is told what in its claims belongs to its strings. */
type Heard = Omit<PlanCell, keyof ClaimParts> & {
  /** Method-major as the rest: what each pluck read in quiet, off the truth; NaN: it was not heard in quiet. */
  readonly offsetCents: Float64Array
}

/** @throws Problem when no pluck of the cell is there yet. */
function heardAt(header: Header, outcomes: readonly Outcome[], string: string, room: string, snrDb: number): Heard {
  const { study } = header
  const methods = study.methods.length
  const first = firstTrialOf(header, string, room, snrDb)
  const n = Math.max(0, Math.min(study.repeats, Math.floor(outcomes.length / methods) - first))
  if (n === 0) throw new Problem(`no pluck of ${string} at ${snrDb} dB in ${room} is in this run yet`, 'run')
  const none = (): Float64Array => new Float64Array(methods * n).fill(Number.NaN)
  const [lockS, errorCents, offsetCents] = [none(), none(), none()]
  for (let trial = 0; trial < n; trial++) {
    for (let method = 0; method < methods; method++) {
      const outcome = outcomes[(first + trial) * methods + method]
      if (outcome.state === 'failed') continue
      const at = method * n + trial
      offsetCents[at] = outcome.score.offsetCents
      if (outcome.score.claim === 'none') continue
      lockS[at] = Math.max(0, outcome.score.lockS)
      errorCents[at] = outcome.score.claimCents
    }
  }
  const ofRepeat = <T>(tell: (repeat: number) => T): T[] => Array.from({ length: n }, (_, repeat) => tell(repeat))
  return {
    ...{ snrDb, n, lockS, errorCents, offsetCents },
    detuneCents: Float64Array.from(ofRepeat((repeat) => detuneCentsOf(study, string, { repeat, snrDb }))),
    harderDb: Float64Array.from(ofRepeat((repeat) => harderDbOf(study, string, { repeat, snrDb }))),
    ofString: Uint32Array.from(ofRepeat((repeat) => stringOfRepeat(study, repeat))),
  }
}

/** `heard`: the cells of one string, the lowest ratio first: only there are plucks heard in quiet for certain. */
function stringRecords(heard: readonly Heard[]): {
  readonly offsetsCents: Float64Array
  readonly cells: readonly PlanCell[]
} {
  const [lowest] = heard
  const methods = Array.from({ length: lowest.lockS.length / lowest.n }, (_, method) => method)
  const strings = 1 + Math.max(...heard.flatMap(({ ofString }) => Array.from(ofString)))
  const of = (values: Float64Array, n: number, method: number): Float64Array =>
    values.subarray(method * n, (method + 1) * n)
  const parts = methods.map((method) =>
    partsOfClaims(
      heard.map((cell) => ({ ...cell, errorCents: of(cell.errorCents, cell.n, method) })),
      strings,
    ),
  )
  const joined = (arrays: readonly Float64Array[]): Float64Array =>
    Float64Array.from(arrays.flatMap((array) => Array.from(array)))
  return {
    offsetsCents: joined(
      methods.map((method) => quietOffsets(lowest, of(lowest.offsetCents, lowest.n, method), strings)),
    ),
    cells: heard.map(({ offsetCents: _, ...cell }, ratio) => {
      const part = (name: keyof ClaimParts): Float64Array => joined(parts.map((ofMethod) => ofMethod[ratio][name]))
      return {
        ...cell,
        ...{ usualCents: part('usualCents'), spreadCents: part('spreadCents'), noise: part('noise') },
        ...{ own: part('own'), wide: part('wide') },
      }
    }),
  }
}

/** Of each string: the middle of what its plucks read in quiet, each brought to usual force; 0 where nothing was read. */
function quietOffsets({ harderDb, ofString }: Heard, offsetCents: Float64Array, strings: number): Float64Array {
  const asHard = usualByForce(offsetCents, harderDb, harderDb)
  const [usual] = usualByForce(offsetCents, harderDb, new Float64Array(1))
  return Float64Array.from({ length: strings }, (_, string) => {
    const beside = offsetCents.map((cents, pluck) => (ofString[pluck] === string ? cents - asHard[pluck] : Number.NaN))
    const middle = median(beside)
    return Number.isNaN(middle) ? 0 : usual + middle
  })
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
