/**
 * What would help most: the same chain under one change at a time, by the same table of chance.
 */
import { randomStream } from '../maths/random.ts'
import { type Figure, quantile } from '../maths/statistics.ts'
import type { Chain } from './chain.ts'
import type { Setting } from './episodes.ts'
import { outcomesOf } from './optimise.ts'
import { type ChainOutcome, chanceOf, succeeds, type Wanted } from './outcome.ts'
import { type PlanRequest, type Prepared, resampledOf, settingOf } from './plan.ts'

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

/**
 * The gain of one change with its interval: recorded plucks and episodes are drawn anew, the same for both sides; null: it does not
 * apply.
 */
export function gainFigure(prepared: Prepared, chain: Chain, wanted: Wanted, id: string): Figure | null {
  const { request, setting } = prepared
  const other = changedSetting(prepared, id)
  if (other === null) return null
  const gained = (before: ChainOutcome, after: ChainOutcome, episode: number): number =>
    Number(succeeds(after, episode, wanted)) - Number(succeeds(before, episode, wanted))
  const [before] = outcomesOf(setting, [chain])
  const [after] = outcomesOf(other, [chain])
  const n = before.timeS.length
  const afters = resampledOf(other, request, chain)
  const replicates = resampledOf(setting, request, chain).map((again, round) => {
    const random = randomStream(request.seed, 'episodes', round)
    let sum = 0
    for (let at = 0; at < n; at++) sum += gained(again, afters[round], random.whole(n))
    return sum / n
  })
  return {
    value: before.timeS.reduce((sum, _, episode) => sum + gained(before, after, episode), 0) / n,
    low: quantile(replicates, 0.025),
    high: quantile(replicates, 0.975),
    n,
  }
}

const changedSettings = new WeakMap<Prepared, Map<string, Setting>>()

/** The same object for the same change of the same request; null: the change does not apply. */
function changedSetting(prepared: Prepared, id: string): Setting | null {
  const known = changedSettings.get(prepared) ?? new Map<string, Setting>()
  changedSettings.set(prepared, known)
  const changed = changes.find((change) => change.id === id)?.apply(prepared.request)
  if (changed === null || changed === undefined) return null
  const setting = known.get(id) ?? settingOf(changed, prepared.setting.draws)
  known.set(id, setting)
  return setting
}
