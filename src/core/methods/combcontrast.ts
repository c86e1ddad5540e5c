/**
 * Whether a string is there at all: what the best comb of partials says over what the best comb of gaps says.
 *
 * In noise, whatever its kind, the places of a string's partials are no better than the places midway between them: bands,
 * bursts and voices fill both. The best law of a grid is therefore held against the best that the same grid finds half a partial
 * lower, in the same spectrum, so that no level has to be known below which noise stays: a room that swings more raises both.
 * What a place says is its ratio of powers in nepers, softly (partialworth.ts), which tells weak strings better than a sum of
 * logarithms. Lines of a comb of its own (a bass line) pass, as they must. Source: own; a false-alarm rate kept by reference cells
 * beside the tested one is Finn & Johnson 1968, RCA Review 29:414-464 (cited from memory).
 */
import { searchCents } from './combsearch.ts'
import { worthOf } from './partialworth.ts'
import { partialHz } from './stringlaw.ts'

/** From a flexible string to a stiff short one. */
const stiffnesses = [2e-5, 1e-4, 2.5e-4] as const

export class CombContrast {
  readonly #partials: number
  readonly #worth: Float64Array
  /** Bin (with fraction) of each partial of each law, law by law, and of the gap under it. */
  readonly #places: Float64Array
  readonly #gaps: Float64Array

  /** `stepCents`: from one pitch to the next, as fine as the spectrum can tell partials apart. */
  constructor(targetHz: number, partials: number, binHz: number, bins: number, stepCents: number) {
    this.#partials = partials
    this.#worth = new Float64Array(bins)
    const half = Math.round(searchCents / stepCents)
    const laws = (2 * half + 1) * stiffnesses.length
    this.#places = new Float64Array(laws * partials)
    this.#gaps = new Float64Array(laws * partials)
    let at = 0
    for (let i = -half; i <= half; i++) {
      const f1Hz = targetHz * 2 ** (((i / half) * searchCents) / 1200)
      for (const stiffness of stiffnesses) {
        for (let k = 1; k <= partials; k++) {
          this.#places[at] = Math.min(partialHz({ f1Hz, stiffness }, k) / binHz, bins - 1.001)
          this.#gaps[at] = Math.min(partialHz({ f1Hz, stiffness }, k - 0.5) / binHz, bins - 1.001)
          at++
        }
      }
    }
  }

  /** Nepers a partial by which combs beat gaps; below 0 if they do not. Does not allocate. */
  of(power: Float64Array, noise: Float64Array): number {
    const worth = this.#worth
    for (let i = 0; i < worth.length; i++) worth[i] = worthOf(power[i] / noise[i])
    return (this.#best(this.#places) - this.#best(this.#gaps)) / this.#partials
  }

  #best(places: Float64Array): number {
    const worth = this.#worth
    let best = 0
    for (let at = 0; at < places.length; ) {
      let sum = 0
      for (let k = 0; k < this.#partials; k++) {
        const place = places[at++]
        const bin = Math.floor(place)
        sum += worth[bin] + (place - bin) * (worth[bin + 1] - worth[bin])
      }
      if (sum > best) best = sum
    }
    return best
  }
}
