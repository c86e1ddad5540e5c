/**
 * A plan put to the test: an evening on sound. The operator and his way of working are those of the plan (episodes.ts), but a
 * pluck's outcome is not drawn from records: the string is rendered at the pitch it has by then, and the stage's method listens
 * (study/freshpluck.ts). What it claims, and when, steers the hand.
 *
 * Nothing is shared with the records but the study they were made by: strings, noise, learnt room and hand have seeds of their
 * own. So what comes out is not what went in.
 */
import { randomStream } from '../maths/random.ts'
import { Problem } from '../problem.ts'
import { type FreshPlucks, openFreshPlucks } from '../study/freshpluck.ts'
import type { Study } from '../study/study.ts'
import type { Chain } from './chain.ts'
import { Draws } from './draws.ts'
import { outcomesOf } from './optimise.ts'
import { type PlanRequest, settingOf } from './plan.ts'
import type { PluckOutcomes, WantedPluck } from './plucks.ts'

/** One evening as it went. */
export interface HeardEpisode {
  readonly timeS: number
  /** Largest |residual| over the strings, cents. */
  readonly worstCents: number
  /** Strings left unverified. */
  readonly unverified: number
  readonly plucks: number
  /** Of all plucks: how many never settled. */
  readonly lost: number
}

export interface ClosedLoop {
  /** @throws Problem when a string cannot be rendered. */
  run(chain: Chain, episode: number): HeardEpisode
}

/** Stretches of a room that are learnt, in turn: enough that none of them makes a difference. */
const learntStretches = 16
const seedValues = 4294967296

/**
 * `study`: strings in the order of the request's records, methods too, one room.
 * @throws Problem when study and records do not fit, or when offsets are taken as known: there are no quiet plucks to take them from.
 */
export function openClosedLoop(request: PlanRequest, study: Study, seed: number): ClosedLoop {
  const { records } = request
  if (study.strings.length !== records.strings.length || study.methods.length !== records.methods.length)
    throw new Problem('holds other strings or methods than the records', 'study')
  if (request.offsetsKnown) throw new Problem('offsets are not taken on these strings', 'offsetsKnown')
  const plucks = openFreshPlucks(study)
  return {
    run(chain, episode) {
      const seeded = (...names: (string | number)[]): number =>
        randomStream(seed, 'closed loop', episode, ...names).whole(seedValues)
      const learntSeed = randomStream(seed, 'learnt', episode % learntStretches).whole(seedValues)
      const heard = new HeardPlucks(plucks, seeded, learntSeed, records.strings.length)
      const setting = settingOf(request, new Draws(seeded('hand'), 1, records.strings.length))
      const [{ timeS, worstCents, unverified }] = outcomesOf({ ...setting, plucks: heard }, [chain])
      return {
        ...{ timeS: timeS[0], worstCents: worstCents[0], unverified: unverified[0] },
        ...{ plucks: heard.plucks, lost: heard.lost },
      }
    },
  }
}

class HeardPlucks implements PluckOutcomes {
  lockS = Number.NaN
  errorCents = Number.NaN
  readonly offsetCents = 0
  readonly taken = -1
  plucks = 0
  lost = 0
  readonly #fresh: FreshPlucks
  readonly #seeded: (...names: (string | number)[]) => number
  readonly #learntSeed: number
  /** Plucks of each string so far. */
  readonly #counts: Uint32Array

  constructor(
    fresh: FreshPlucks,
    seeded: (...names: (string | number)[]) => number,
    learntSeed: number,
    strings: number,
  ) {
    this.#fresh = fresh
    this.#seeded = seeded
    this.#learntSeed = learntSeed
    this.#counts = new Uint32Array(strings)
  }

  draw(_episode: number, string: number, method: number, wanted: WantedPluck): void {
    const { lockS, errorCents } = this.#fresh.hear({
      ...{ string, method, snrDb: wanted.snrDb, harderDb: wanted.harderDb, residualCents: wanted.residualCents },
      stringSeed: this.#seeded('string', string),
      seed: this.#seeded('pluck', string, this.#counts[string]++),
      learntSeed: this.#learntSeed,
    })
    this.lockS = lockS
    this.errorCents = errorCents
    this.plucks++
    if (Number.isNaN(lockS)) this.lost++
  }
}
