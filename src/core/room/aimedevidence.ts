/**
 * Whether what stands at the partials of the string that is aimed at is that string, or every second (third, fourth) partial of
 * it alone, or a lower string's partials as well: what the finder asks of a comb, asked the other way about. The finder must
 * not call what may be another's; here the string in hand must not be accused of what may be its own. So a place counts only
 * where a partial as weak as `weakest` beside its neighbours would still be heard: places hidden in noise say nothing. Looks are
 * averaged, so that noise is told from a weak partial. Source: own. What it is worth: tests/bench/room.md.
 */
import { centsBetween } from '../maths/units.ts'
import { partialHz, type StringLaw } from '../methods/stringlaw.ts'
import type { OverNoise } from './combevidence.ts'

/** `higher`: every third or fourth partial alone. `unsure`: nothing that could be told apart from noise, or not for long enough. */
export type Evidence = 'own' | 'octave-above' | 'higher' | 'lower' | 'unsure'

/** A second of sound, at 85 ms from one to the next. */
const mostLooks = 8
/** 0.6 s of sound. */
const fewestLooks = 4
/** Looks at one note agree within that, as the finder has it. */
const agreeCents = 15

/**
 * Power over noise of a partial that is there. The highest of three bins of noise is 1.8 on average; four looks together, three
 * quarters of each in the one before, are as much as two that are not: over 5 once in a hundred places.
 */
const leastOver = 5
/** What noise alone seldom reaches: a place under it is empty. */
const mostEmpty = 3
/** Power beside the weaker neighbour that not one of a string's own partials of a kind stands over: 15 dB under it. */
const weakest = 0.03
/** A body or a pick takes one partial away, and a pickup another: not three of a kind. */
const fewestMissing = 3
/** Of those that stand alone. */
const fewestStanding = 2
/** Octave first: it has a word of its own. */
const multiples = [2, 3, 4] as const

/** Power between over power beside it: a sympathetic string stays further under the one in hand (combevidence.ts). */
const leastBetween = 0.1
const divisors = [2, 3] as const
/** Places between are looked at up to this partial. */
const comparedPartials = 8
/** Two may be tones of the room. */
const fewestBetween = 3
const sixths = 6

interface Place {
  readonly over: number
  readonly power: number
}

interface Look {
  readonly f1Hz: number
  /** By sixth of a partial: 6 is partial 1, 9 is halfway to partial 2. */
  readonly places: ReadonlyMap<number, Place>
}

export class AimedEvidence {
  #looks: Look[] = []
  #partials = 0

  /** What was heard before is another note's. */
  forget(): void {
    this.#looks = []
  }

  /** One look: the law that fits it best and what stands where. */
  add(law: StringLaw, partials: number, at: OverNoise): void {
    const last = this.#looks.at(-1)
    if (last !== undefined && Math.abs(centsBetween(law.f1Hz, last.f1Hz)) > agreeCents) this.forget()
    this.#partials = partials
    const places = new Map<number, Place>()
    for (let k = 1; k <= partials; k++) places.set(sixths * k, at(partialHz(law, k)))
    for (const j of placesBetween) places.set(j, at(partialHz(law, j / sixths)))
    this.#looks = [...this.#looks.slice(1 - mostLooks), { f1Hz: law.f1Hz, places }]
  }

  evidence(): Evidence {
    if (this.#looks.length < fewestLooks) return 'unsure'
    const partials = Array.from({ length: this.#partials }, (_, i) => this.#mean(sixths * (i + 1)))
    const alone = multiples.find((m) => standAlone(partials, m))
    if (alone !== undefined) return alone === 2 ? 'octave-above' : 'higher'
    const between = divisors.map((divisor) => this.#between(partials, divisor))
    if (between.some(({ filled, empty }) => filled >= fewestBetween && filled > empty)) return 'lower'
    // A lower string's own partials are hidden in noise before those that the one aimed at would have as well.
    const odd = partials.filter(({ over }, i) => i % 2 === 0 && over >= leastOver)
    const isOwn = between.every(({ filled, empty }) => filled === 0 && empty >= fewestBetween)
    return isOwn && odd.length >= fewestStanding ? 'own' : 'unsure'
  }

  #mean(place: number): Place {
    let [over, power] = [0, 0]
    for (const { places } of this.#looks) {
      const own = places.get(place)
      over += (own?.over ?? 0) / this.#looks.length
      power += (own?.power ?? 0) / this.#looks.length
    }
    return { over, power }
  }

  /** Places between that a lower string would fill: how many are filled by no less than its partials are, how many by nothing. */
  #between(partials: readonly Place[], divisor: number): { readonly filled: number; readonly empty: number } {
    let [filled, empty] = [0, 0]
    for (const j of placesBetween) {
      if (j % (sixths / divisor) !== 0) continue
      const beside = [Math.floor(j / sixths), Math.ceil(j / sixths)].flatMap((k) => partials[k - 1]?.power ?? [])
      const least = leastBetween * Math.max(...beside)
      const { over, power } = this.#mean(j)
      if (over >= leastOver && power >= least) filled++
      else if (least >= leastOver * (power / over)) empty++
    }
    return { filled, empty }
  }
}

/** Halves and thirds of partials, in sixths. */
const placesBetween = Array.from({ length: sixths * comparedPartials }, (_, j) => j).filter(
  (j) => j % sixths !== 0 && divisors.some((divisor) => j % (sixths / divisor) === 0),
)

/** True: multiples of `m` stand, and none of what a string has between them. */
function standAlone(partials: readonly Place[], m: number): boolean {
  const standing = partials.flatMap(({ over }, i) => ((i + 1) % m === 0 && over >= leastOver ? [i + 1] : []))
  if (standing.length < fewestStanding) return false
  let missing = 0
  for (const [i, { over, power }] of partials.entries()) {
    const k = i + 1
    if (k % m === 0) continue
    const beside = [standing.findLast((one) => one < k), standing.find((one) => one > k)]
    const least =
      weakest * Math.min(...beside.flatMap((one) => (one === undefined ? [] : (partials[one - 1]?.power ?? 0))))
    const noise = power / over
    if (power >= least && over >= mostEmpty) return false
    if (power < least && least >= mostEmpty * noise) missing++
  }
  return missing >= fewestMissing
}
