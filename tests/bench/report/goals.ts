/**
 * The goals the project set itself, each with what was measured. A goal whose method does not exist, or was not run, says so.
 *
 * Where a limit is for a rate, the value decides and its interval stands beside; for "no cell above", a cell is one string at one
 * ratio, and it is above when its interval's lower end is.
 */
import { bootstrap, type Figure, rms, wilson } from '../../../src/core/maths/statistics.ts'
import { contestants, isOutside } from './contestants.ts'
import { type MethodFigures, paceFigures, pooled } from './figures.ts'
import { tonePrefix } from './plan.ts'
import { badShare, cells, type Runs, shareOf, type Told } from './runs.ts'
import type { Timings } from './timing.ts'
import { dbOf, figureOf, msOf, numberOf, percentOf } from './words.ts'

export interface Goal {
  readonly goal: number
  readonly what: string
  readonly method: string
  /** What was measured, with its interval and number of trials. */
  readonly measured: string
  readonly wanted: string
  /** null: not measured, or nothing can be wanted of it. */
  readonly met: boolean | null
}

type Measured = Omit<Goal, 'goal'>

const ids = contestants.map(({ id }) => id)
const ownAimed = contestants.filter(({ id, family }) => family === 'aimed' && !isOutside(id)).map(({ id }) => id)
const ownBlind = contestants.filter(({ id, family }) => family === 'blind' && !isOutside(id)).map(({ id }) => id)
const seed = 71_300_981

export function goalRows(runs: Runs, figures: readonly MethodFigures[], timings: Timings): Goal[] {
  const numbered = (goal: number, rows: readonly Measured[]): Goal[] => rows.map((row) => ({ goal, ...row }))
  return [
    ...numbered(1, fineGoals(runs, figures)),
    ...numbered(2, coarseGoals(runs, figures)),
    ...numbered(3, quickGoals(runs)),
    ...numbered(4, claimGoals(runs)),
    ...numbered(5, speedGoals(figures, timings)),
  ]
}

const unmeasured = (what: string, method: string, wanted: string): Measured => ({
  ...{ what, method, wanted },
  measured: ids.includes(method) ? 'not run' : 'no such method',
  met: null,
})

function fineGoals(runs: Runs, figures: readonly MethodFigures[]): Measured[] {
  const limits = [
    ['partial-fit', 1.5, 120],
    ['joint-fit', 1.2, 1000],
  ] as const
  return limits.flatMap(([id, ratio, us]) => {
    const own = figures.find((each) => each.id === id)
    const overBands: readonly (readonly [string, string, (told: Told) => number])[] = [
      ['fine', 'first 85 ms after the pluck', ({ close }) => close?.firstOverBand ?? Number.NaN],
      ['fine', 'every reading of the first second', ({ close }) => close?.overBand ?? Number.NaN],
      ['fine-unlearnt', 'first 85 ms, room not learnt', ({ close }) => close?.firstOverBand ?? Number.NaN],
    ]
    const rows = overBands.map(([part, span, tell]): Measured => {
      const what = `noise deviation over the bound of partials 1 to 10, ${span}, -10 to 20 dB white, E2 to E4`
      const told = runs.told(part, id)
      const figure = pooled(told, tell, `${id} ${part} ${span}`)
      if (figure === null) return unmeasured(what, id, `at most ${ratio}`)
      const groups = [...cells(told, tell)]
      const above = groups.flatMap(([name, group]) => {
        const cell = bootstrap([group], rms, seed)
        return cell.low > ratio ? [`${name} ${figureOf(cell)}`] : []
      })
      const left = told.length - figure.n
      return {
        ...{ what, method: id, wanted: `at most ${ratio}, no cell above` },
        measured: `${figureOf(figure)}; ${above.length} of ${groups.length} cells above${above.map((cell) => `, ${cell}`).join('')}; ${left} trials gross or silent, left out`,
        met: figure.value <= ratio && above.length === 0,
      }
    })
    const quiet = [
      ['guitar strings, B = 0 to 2e-4', own?.quietGuitar, 0.02],
      ['bass E, 170 ms', own?.quietBassLong, 0.1],
    ] as const
    const biases = quiet.map(([which, bias, limit]): Measured => {
      const what = `largest bias in quiet, ${which}`
      const wanted = `at most ${limit} c, silent nowhere`
      if (bias === null || bias === undefined) return unmeasured(what, id, wanted)
      const { worstCents, at, strings, silent } = bias
      return {
        ...{ what, method: id, wanted },
        measured: `${numberOf(worstCents)} c (${at}); ${silent.length} of ${strings} strings silent`,
        met: worstCents <= limit && silent.length === 0,
      }
    })
    return [...rows, ...biases, timeGoal(id, own, us)]
  })
}

function timeGoal(id: string, own: MethodFigures | undefined, us: number): Measured {
  const what = 'computing time a frame'
  const wanted = `at most ${us} us`
  if (own === undefined || Number.isNaN(own.microsecondsAFrame)) return unmeasured(what, id, wanted)
  return {
    ...{ what, method: id, wanted },
    measured: `${numberOf(own.microsecondsAFrame)} us`,
    met: own.microsecondsAFrame <= us,
  }
}

function coarseGoals(runs: Runs, figures: readonly MethodFigures[]): Measured[] {
  const id = 'whitened-sum'
  const places = [
    ['coarse-white', 'white, -10 dB'],
    ['coarse-stage', 'stage, -7 dB'],
    ['coarse-babble', 'babble, -2 dB'],
  ] as const
  const rows = places.flatMap(([part, room]): Measured[] => {
    const what = `grossly wrong or silent at ${room}, E1 to E4`
    const told = runs.told(part, id)
    if (told.length === 0) return [unmeasured(what, id, 'under 5 %')]
    const third = shareOf(told, ({ close }) => !(Math.abs(close?.thirdCents ?? Number.NaN) < 50)) as Figure
    const share = told.reduce((sum, each) => sum + badShare(each), 0) / told.length
    const all = wilson(share * told.length, told.length)
    const rowOf = (when: string, figure: Figure): Measured => ({
      ...{ what: `${what}, ${when}`, method: id, wanted: 'under 5 %' },
      measured: percentOf(figure),
      met: figure.value < 0.05,
    })
    return [rowOf('350 ms after the pluck', third), rowOf('all windows of 341 ms in the first second', all)]
  })
  const stage = (each: MethodFigures): number => each.thresholds.stage?.value ?? Number.NaN
  const outside = figures.filter((each) => each.outside && !Number.isNaN(stage(each)))
  const own = figures.find((each) => each.id === id)
  const what = 'threshold ratio in stage noise, under that of the best outside method'
  const wanted = '17 to 24 dB lower'
  if (own === undefined || outside.length === 0 || Number.isNaN(stage(own)))
    return [...rows, unmeasured(what, id, wanted)]
  const best = outside.reduce((least, each) => (stage(each) < stage(least) ? each : least))
  const names = `${dbOf(own.thresholds.stage)} against ${dbOf(best.thresholds.stage)} (${best.id})`
  return [...rows, { ...{ what, method: id, wanted }, measured: names, met: stage(best) - stage(own) >= 17 }]
}

function quickGoals(runs: Runs): Measured[] {
  const id = 'growing-fit'
  const places = [
    ['pace-white', 'white, 20 dB', 0.025, 0.035],
    ['pace-stage', 'stage, 0 dB', 0.025, 0.07],
  ] as const
  return places.flatMap(([part, room, limit5S, limit1S]) => {
    const { within5S, within1S, ever5, ever1 } = paceFigures(runs, part, id)
    const rows = [
      [5, within5S, limit5S, ever5],
      [1, within1S, limit1S, ever1],
    ] as const
    return rows.map(([cents, figure, limitS, ever]): Measured => {
      const what = `within ${cents} c of the truth and staying there, ${room}, strings without a glide`
      const wanted = `median at most ${1000 * limitS} ms, in every trial`
      if (ever === null) return unmeasured(what, id, wanted)
      return {
        ...{ what, method: id, wanted },
        measured: `${msOf(figure)} (median); ever: ${percentOf(ever)}`,
        met: figure !== null && figure.value <= limitS && ever.value === 1,
      }
    })
  })
}

/** A string out of tune is just that: a method that refused it could tune none. Its rate is reported, not judged. */
const otherString = 'claims-other'

/** What parts of the plan are one condition together, by how their ids begin. */
const claimParts = [
  'claims-stage',
  'claims-glide',
  'claims-none',
  'claims-wrong',
  'claims-ringing',
  tonePrefix,
  otherString,
  'claims-stage-unlearnt',
] as const

/** Takes and false claims of one aimed method under one condition; no-string rooms one by one. */
export interface ClaimRow {
  readonly condition: string
  readonly room: string
  readonly method: string
  readonly falseRate: Figure
  readonly judged: boolean
}

export function claimRows(runs: Runs): ClaimRow[] {
  return claimParts.flatMap((id) => {
    const parts =
      id === tonePrefix
        ? runs
            .parts()
            .map(({ part }) => part)
            .filter((part) => part.id.startsWith(id))
        : [runs.part(id)]
    const [first] = parts
    return (first?.study.rooms ?? []).flatMap(({ id: room }) =>
      ownAimed.flatMap((method): ClaimRow[] => {
        const told = parts.flatMap((part) => (part === undefined ? [] : runs.told(part.id, method, { room })))
        const falseRate = shareOf(told, ({ score: { claim } }) => claim !== 'true' && claim !== 'none')
        return falseRate === null
          ? []
          : [{ condition: first?.title ?? id, room, method, falseRate, judged: id !== otherString }]
      }),
    )
  })
}

/** One-sided 99 % lower end of Wilson's interval: a stated rate is doubted when even this is above it. */
const z99 = 2.326348
const statedRate = 0.01
const fewestTakes = 300

function claimGoals(runs: Runs): Measured[] {
  return claimRows(runs).flatMap(({ condition, room, method, falseRate, judged }): Measured[] => {
    const hits = Math.round(falseRate.value * falseRate.n)
    const row = {
      what: `false claims: ${condition}${room.endsWith('no-string') ? ` (${room})` : ''}`,
      method,
      measured: `${hits} of ${falseRate.n}; upper limit ${numberOf(100 * falseRate.high)} %`,
      wanted: judged ? 'none in 300' : 'reported: by frequency it is the string in hand, out of tune',
      // Fewer takes that went well have not shown it.
      met: !judged ? null : hits > 0 ? false : falseRate.n >= fewestTakes ? true : null,
    }
    if (condition !== 'no string') return [row]
    const { low } = wilson(hits, falseRate.n, z99)
    return [
      row,
      {
        ...{ method, what: `false-alarm rate a take of 2.5 s, ${room}` },
        measured: percentOf(falseRate),
        wanted: 'stated 1 %: lower limit (99 %) not above it',
        met: low <= statedRate,
      },
    ]
  })
}

function speedGoals(figures: readonly MethodFigures[], timings: Timings): Measured[] {
  const own = figures.filter(({ outside }) => !outside)
  const slowest = figures
    .filter(({ id }) => ownBlind.includes(id))
    .toSorted((a, b) => b.microsecondsAFrame - a.microsecondsAFrame)
  const over = slowest.filter(({ microsecondsAFrame }) => microsecondsAFrame > 150)
  const share = own.reduce((sum, each) => sum + each.shareOfCore, 0)
  return [
    {
      what: 'own blind methods over 150 us a frame at 4096 samples',
      method: 'each',
      measured: `${over.length} of ${slowest.length}: ${over.map(({ id, microsecondsAFrame }) => `${id} ${numberOf(microsecondsAFrame)} us`).join(', ') || 'none'}`,
      wanted: 'none',
      met: slowest.length === 0 ? null : over.length === 0,
    },
    {
      what: 'all own methods side by side, live, part of one core',
      method: 'all',
      measured: `${numberOf(100 * share)} %`,
      wanted: 'under 25 %',
      met: Number.isNaN(share) ? null : share < 0.25,
    },
    ...timings.ratios.map(
      ({ own: id, outside, value, low, high }): Measured => ({
        what: `time a frame of ${outside} over that of ${id}, same window`,
        method: id,
        measured: `${numberOf(value)} times (rounds ${numberOf(low)} to ${numberOf(high)})`,
        wanted: 'over 20 times',
        met: value > 20,
      }),
    ),
  ]
}
