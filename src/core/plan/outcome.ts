/**
 * What a chain comes to over many episodes: when it is done, what is left, which strings nobody may rely on.
 */
import type { Chain } from './chain.ts'
import type { Standing } from './episodes.ts'

/** One entry an episode. */
export interface ChainOutcome {
  readonly chain: Chain
  readonly timeS: Float64Array
  /** Largest |residual| over the strings, cents. */
  readonly worstCents: Float64Array
  /** Strings left unverified. */
  readonly unverified: Uint8Array
  /** Of each string: episodes that left it unverified. */
  readonly unverifiedByString: Uint32Array
}

export function outcomeOf(chain: Chain, standing: Standing, strings: number): ChainOutcome {
  const episodes = standing.timeS.length
  const worstCents = new Float64Array(episodes)
  const unverified = new Uint8Array(episodes)
  const unverifiedByString = new Uint32Array(strings)
  for (let episode = 0; episode < episodes; episode++) {
    for (let i = 0; i < strings; i++) {
      const at = episode * strings + i
      worstCents[episode] = Math.max(worstCents[episode], Math.abs(standing.residualCents[at]))
      if (standing.verified[at] === 1) continue
      unverified[episode]++
      unverifiedByString[i]++
    }
  }
  return { chain, timeS: standing.timeS, worstCents, unverified, unverifiedByString }
}

/** Whether the episode met what is wanted: everything within the tolerance, in time, and (where the chain verifies) verified. */
export const succeeds = (
  { chain, timeS, worstCents, unverified }: ChainOutcome,
  episode: number,
  { budgetS, withinCents }: Wanted,
): boolean =>
  chain.verified && timeS[episode] <= budgetS && worstCents[episode] <= withinCents && unverified[episode] === 0

export interface Wanted {
  readonly budgetS: number
  readonly withinCents: number
}

export interface PlanWanted extends Wanted {
  /** A plan is feasible from this chance on. */
  readonly wantedChance: number
}

/** Share of episodes. */
export function chanceOf(outcome: ChainOutcome, wanted: Wanted): number {
  const n = outcome.timeS.length
  let count = 0
  for (let episode = 0; episode < n; episode++) if (succeeds(outcome, episode, wanted)) count++
  return count / n
}

/** Smallest budget that gives at least `chance` of success; Infinity: none does. */
export function neededS(outcome: ChainOutcome, withinCents: number, chance: number): number {
  const n = outcome.timeS.length
  const times = outcome.timeS.filter((_, episode) =>
    succeeds(outcome, episode, { budgetS: Number.POSITIVE_INFINITY, withinCents }),
  )
  const place = Math.ceil(chance * n) - 1
  return place < times.length ? (times.sort()[Math.max(0, place)] as number) : Number.POSITIVE_INFINITY
}

/** Smallest tolerance that is met in time with at least `chance`, verified or not as the chain is; Infinity: it is not done in time. */
export function reachableCents(outcome: ChainOutcome, budgetS: number, chance: number): number {
  const n = outcome.timeS.length
  const left = outcome.worstCents.filter(
    (_, episode) => outcome.timeS[episode] <= budgetS && (!outcome.chain.verified || outcome.unverified[episode] === 0),
  )
  const place = Math.ceil(chance * n) - 1
  return place < left.length ? (left.sort()[Math.max(0, place)] as number) : Number.POSITIVE_INFINITY
}
