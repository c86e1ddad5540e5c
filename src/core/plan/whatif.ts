/**
 * What would help most: the same chain under one change at a time, by the same table of chance.
 */
import type { Chain } from './chain.ts'
import { outcomesOf } from './optimise.ts'
import { chanceOf, type Wanted } from './outcome.ts'
import { type PlanRequest, type Prepared, settingOf } from './plan.ts'

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
