/**
 * The figures of the report, method by method. Every one is { value, low, high, n } with a 95 % interval over trials, or null
 * where nothing was measured; the report and the table in README.md only write them down.
 */
import { bootstrap, type Figure, rms } from '../../../src/core/maths/statistics.ts'
import { figuresOf } from '../../../src/core/score/summary.ts'
import { contestants, isOutside, isSlow, isSlowest } from './contestants.ts'
import { badShare, type Runs, shareOf, strata, type Told } from './runs.ts'
import { thresholdOf } from './threshold.ts'
import { shareOfCore, type Timings } from './timing.ts'

/** Largest offset in quiet, either way, and where. `silent`: strings on which the method says nothing at all. */
export interface Quiet {
  readonly worstCents: number
  readonly at: string
  readonly strings: number
  readonly silent: readonly string[]
}

export interface Pace {
  readonly within5S: Figure | null
  readonly within1S: Figure | null
  readonly firstSteadyS: Figure | null
  readonly lockS: Figure | null
  /** Share of trials that ever come within 5 c (1 c) and stay. */
  readonly ever5: Figure | null
  readonly ever1: Figure | null
}

export interface ClaimRates {
  /** Room-caused, premature and structural together. */
  readonly falseRate: Figure | null
  readonly roomRate: Figure | null
  readonly trueRate: Figure | null
}

export interface MethodFigures {
  readonly id: string
  readonly title: string
  readonly family: 'blind' | 'aimed'
  readonly outside: boolean
  readonly slow: boolean
  readonly failed: number
  readonly quietGuitar: Quiet | null
  readonly quietBass: Quiet | null
  /** With a window of 170 ms; aimed methods only. */
  readonly quietBassLong: Quiet | null
  /** Room -> dB; "-Infinity": already at the lowest ratio. */
  readonly thresholds: Readonly<Record<string, Figure | null>>
  readonly thresholdsUnlearnt: Readonly<Record<string, Figure | null>>
  /** Root mean square error and noise deviation over the bound of all partials, white, 20 dB, ideal strings. */
  readonly rmseCents: Figure | null
  readonly overBound: Figure | null
  /** Noise deviation over the bound of partials 1 to 10, all ratios pooled. */
  readonly overBand: Figure | null
  readonly paceWhite: Pace
  readonly paceStage: Pace
  /** In the field: room and ratio -> rates. */
  readonly field: Readonly<Record<string, ClaimRates & Pace>>
  /** Without its string: room -> rates. */
  readonly empty: Readonly<Record<string, ClaimRates>>
  readonly microsecondsAFrame: number
  readonly shareOfCore: number
}

/** Cells of the field that the report shows. */
export const fieldCells = [
  ['white', 20],
  ['stage', 0],
  ['babble', 0],
  ['front-acoustic', 10],
  ['twin-string', 10],
] as const

export const cellName = (room: string, snrDb: number): string => `${room} ${snrDb}`

const seed = 71_300_971

export function methodFigures(runs: Runs, timings: Timings): MethodFigures[] {
  return contestants.map(({ id, title, family }): MethodFigures => {
    const slow = isSlow(id)
    const field = isSlowest(id) ? 'field-slowest' : slow ? 'field-slow' : 'field'
    const quiet = slow ? 'quiet-slow' : 'quiet'
    const timing = timings.methods.find(({ method }) => method === id)
    const finePart = family === 'aimed' ? 'fine' : 'fine-blind'
    const fine = runs.told(finePart, id)
    const fine20 = fine.filter(({ snrDb }) => snrDb === 20)
    const paceOf = (part: string): Pace => paceFigures(runs, part, id)
    return {
      ...{ id, title, family, slow, outside: isOutside(id) },
      failed: runs.parts().reduce((sum, { part }) => sum + failedIn(runs, part.id, id), 0),
      quietGuitar: quietOf(runs.told(quiet, id).filter(({ string }) => !string.startsWith('E1'))),
      quietBass: quietOf(runs.told(quiet, id).filter(({ string }) => string.startsWith('E1'))),
      quietBassLong: quietOf(runs.told(quiet, id, { window: 8192 }).filter(({ string }) => string.startsWith('E1'))),
      thresholds: thresholds(runs, field, id),
      thresholdsUnlearnt: thresholds(runs, 'field-unlearnt', id),
      rmseCents: pooled(fine20, ({ close }) => close?.rmsCents ?? Number.NaN, `${id} rmse`),
      overBound: figuresOf(runs.outcomes(finePart, id, { snrDb: 20 }), seed, [id, 'fine']).boundRatio,
      overBand: pooled(fine, ({ close }) => close?.overBand ?? Number.NaN, `${id} band`),
      paceWhite: paceOf('pace-white'),
      paceStage: paceOf('pace-stage'),
      field: Object.fromEntries(
        fieldCells.map(([room, snrDb]) => [
          cellName(room, snrDb),
          {
            ...claimRates(runs.told(field, id, { room, snrDb })),
            ...paceFigures(runs, field, id, { room, snrDb }),
          },
        ]),
      ),
      empty: Object.fromEntries(
        (runs.part('empty')?.study.rooms ?? []).map(({ id: room }) => [
          room,
          claimRates(runs.told('empty', id, { room })),
        ]),
      ),
      microsecondsAFrame: timing?.microsecondsAFrame ?? Number.NaN,
      shareOfCore: timing === undefined ? Number.NaN : shareOfCore(timing),
    }
  })
}

const failedIn = (runs: Runs, part: string, id: string): number =>
  runs.outcomes(part, id).filter(({ state }) => state === 'failed').length

function quietOf(told: readonly Told[]): Quiet | null {
  if (told.length === 0) return null
  const heard = told.filter(({ score }) => Number.isFinite(score.offsetCents))
  const worst = heard.reduce(
    (most, { string, score }) =>
      Math.abs(score.offsetCents) > Math.abs(most.cents) ? { cents: score.offsetCents, at: string } : most,
    { cents: heard.length === 0 ? Number.NaN : 0, at: '' },
  )
  const silent = new Set(told.filter((each) => !heard.includes(each)).map(({ string }) => string))
  return {
    worstCents: Math.abs(worst.cents),
    at: worst.at,
    strings: new Set(told.map(({ string }) => string)).size,
    silent: [...silent],
  }
}

function thresholds(runs: Runs, partId: string, id: string): Record<string, Figure | null> {
  const study = runs.part(partId)?.study
  if (study === undefined || !study.methods.some((choice) => choice.id === id)) return {}
  return Object.fromEntries(
    study.rooms.map(({ id: room }) => {
      const plucks = new Map<string, { string: string; shares: number[] }>()
      for (const told of runs.told(partId, id, { room })) {
        const key = `${told.string} ${told.repeat}`
        const pluck = plucks.get(key) ?? { string: told.string, shares: study.snrsDb.map(() => Number.NaN) }
        pluck.shares[study.snrsDb.indexOf(told.snrDb)] = badShare(told)
        plucks.set(key, pluck)
      }
      return [room, thresholdOf(study.snrsDb, [...plucks.values()], seed)]
    }),
  )
}

/** Root mean square over trials. */
export function pooled(told: readonly Told[], tell: (each: Told) => number, name: string): Figure | null {
  if (told.length === 0) return null
  const figure = bootstrap(strata(told, tell), rms, seed + name.length)
  return figure.n === 0 ? null : figure
}

export function paceFigures(
  runs: Runs,
  part: string,
  id: string,
  asked: { readonly room?: string; readonly snrDb?: number } = {},
): Pace {
  const outcomes = runs.outcomes(part, id, asked)
  const told = runs.told(part, id, asked)
  const { within5S, within1S, firstSteadyS, lockS } = figuresOf(outcomes, seed, [part, id])
  return {
    ...{ within5S, within1S, firstSteadyS, lockS },
    ever5: shareOf(told, ({ score }) => Number.isFinite(score.within5S)),
    ever1: shareOf(told, ({ score }) => Number.isFinite(score.within1S)),
  }
}

export const claimRates = (told: readonly Told[]): ClaimRates => ({
  falseRate: shareOf(told, ({ score: { claim } }) => claim !== 'true' && claim !== 'none'),
  roomRate: shareOf(told, ({ score: { claim } }) => claim === 'room' || claim === 'premature'),
  trueRate: shareOf(told, ({ score: { claim } }) => claim === 'true'),
})
