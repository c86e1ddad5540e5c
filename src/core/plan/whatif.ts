/**
 * What would help most: the same chain under one change at a time, by the same table of chance.
 */
import { randomStream } from '../maths/random.ts'
import { type Figure, quantile } from '../maths/statistics.ts'
import type { Chain } from './chain.ts'
import { outcomesOf } from './optimise.ts'
import { chanceOf, succeeds, type Wanted } from './outcome.ts'
import { intervalRounds, type PlanRequest, type Prepared, settingOf } from './plan.ts'
import { RecordedPlucks } from './plucks.ts'

export interface WhatIf {
  readonly id: string
  /** "5 dB less noise" */
  readonly words: string
  readonly chance: number
  /** More or fewer runs that succeed, as a share. */
  readonly gain: number
}

interface Change {
  readonly id: string
  readonly words: string
  apply(request: PlanRequest): PlanRequest | null
}

const quieterDb = 5

const changes: readonly Change[] = [
  {
    id: 'quieter',
    words: `${quieterDb} dB less noise`,
    apply: (request) => {
      const { snrsDb } = request.records
      const snrDb = request.snrDb + quieterDb
      return snrDb > snrsDb[snrsDb.length - 1] ? null : { ...request, snrDb }
    },
  },
  {
    id: 'surer-hand',
    words: 'turns that come half as wide of what was meant',
    apply: (request) => ({
      ...request,
      hand: { ...request.hand, turnGainSd: request.hand.turnGainSd / 2, pegStepDeg: request.hand.pegStepDeg / 2 },
    }),
  },
  {
    id: 'quicker-hand',
    words: 'a quarter of a second less to find and pluck a string',
    apply: (request) =>
      request.hand.pluckS - 0.25 < 0.4
        ? null
        : { ...request, hand: { ...request.hand, pluckS: request.hand.pluckS - 0.25 } },
  },
  {
    id: 'offsets',
    words: 'knowing what each method reads off in quiet on these very strings',
    apply: (request) => (request.offsetsKnown ? null : { ...request, offsetsKnown: true }),
  },
  {
    id: 'no-second-pass',
    words: 'no second pass',
    apply: (request) =>
      request.work.morePasses === 0 ? null : { ...request, work: { ...request.work, morePasses: 0 } },
  },
  {
    id: 'nearer-start',
    words: 'strings that start half as far off',
    apply: (request) => ({
      ...request,
      hand: {
        ...request.hand,
        startMeanCents: request.hand.startMeanCents / 2,
        startSdCents: request.hand.startSdCents / 2,
      },
    }),
  },
]

/** Largest gain first. */
export function whatIfs(prepared: Prepared, chain: Chain, wanted: Wanted): WhatIf[] {
  const { request, setting } = prepared
  const chance = chanceOf(outcomesOf(setting, [chain])[0], wanted)
  return changes
    .flatMap(({ id, words, apply }) => {
      const changed = apply(request)
      if (changed === null) return []
      const [outcome] = outcomesOf(settingOf(changed, setting.draws), [chain])
      const then = chanceOf(outcome, wanted)
      return [{ id, words, chance: then, gain: then - chance }]
    })
    .sort((a, b) => b.gain - a.gain)
}

/** The gain of one change with its interval: recorded plucks and episodes are drawn anew, the same for both sides; null: it does not apply. */
export function gainFigure(prepared: Prepared, chain: Chain, wanted: Wanted, id: string): Figure | null {
  const { request, setting } = prepared
  const changed = changes.find((change) => change.id === id)?.apply(request)
  if (changed === null || changed === undefined) return null
  const other = settingOf(changed, setting.draws)
  const gains = (round: number | null): Float64Array => {
    const plucks = new RecordedPlucks(request.records, round === null ? null : request.seed + round + 1)
    const [before] = outcomesOf({ ...setting, plucks }, [chain])
    const [after] = outcomesOf({ ...other, plucks }, [chain])
    return Float64Array.from(
      before.timeS,
      (_, episode) => Number(succeeds(after, episode, wanted)) - Number(succeeds(before, episode, wanted)),
    )
  }
  const whole = gains(null)
  const n = whole.length
  const replicates = Array.from({ length: intervalRounds }, (_, round) => {
    const again = gains(round)
    const random = randomStream(request.seed, 'episodes', round)
    let sum = 0
    for (let at = 0; at < n; at++) sum += again[random.whole(n)]
    return sum / n
  })
  return {
    value: whole.reduce((sum, gain) => sum + gain, 0) / n,
    low: quantile(replicates, 0.025),
    high: quantile(replicates, 0.975),
    n,
  }
}
