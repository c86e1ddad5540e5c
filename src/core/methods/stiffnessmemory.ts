/**
 * What earlier frames of a take told about the string's stiffness, as a prior for the next one.
 *
 * B belongs to the string and not to the moment. A frame alone leaves it open by so much that its pitch loses a third of its
 * precision (the bound with stiffness unknown is half as high again as with it known); what frames before it measured closes
 * that gap. Only frames that lie wholly before the one in hand count, each for the share of it that is new, so the prior knows
 * nothing of the noise in the frame, and pitch itself is never carried over: it may glide, or a hand may turn the peg.
 * Memory fades, and it is dropped when frames keep contradicting it (another string, another fret).
 * Source: own; the weighted mean of independent estimates.
 */

/** A take is a few seconds; whoever takes up another string is measured anew after about as long. */
const fadeS = 4

/** Bodies bend partials by a cent or two, all frames alike: no number of frames makes B surer than that. Partial 10 moves by 0.4 c. */
const leastSd = 5e-6

/** Errors of weak frames have longer tails than their linear estimate says. */
const caution = 1.3

/** Beyond this many deviations a frame speaks of something else. */
const contradicts = 3.5

/** So much sound in a row, in frames' lengths, must contradict before memory is dropped. */
const patience = 0.5

export class StiffnessMemory {
  /** Mean and precision (1 / B^2) of what was learnt; 0: nothing. */
  stiffness = 0
  precision = 0
  readonly #share: number
  readonly #fade: number
  readonly #waitingStiffness: Float64Array
  readonly #waitingPrecision: Float64Array
  #at = 0
  #sum = 0
  #weights = 0
  #against = 0

  /** `frameS`: a frame's length; `hopS`: from one to the next. */
  constructor(frameS: number, hopS: number) {
    this.#share = Math.min(1, hopS / frameS)
    this.#fade = Math.exp(-hopS / fadeS)
    const apart = Math.max(1, Math.ceil(frameS / hopS - 1e-9))
    this.#waitingStiffness = new Float64Array(apart)
    this.#waitingPrecision = new Float64Array(apart)
  }

  /** Brings the memory to the frame that is to be looked at: what ended before it began. Once a frame. */
  advance(): void {
    const at = this.#at
    const precision = this.#waitingPrecision[at]
    const stiffness = this.#waitingStiffness[at]
    this.#waitingPrecision[at] = 0
    this.#weights *= this.#fade
    this.#sum *= this.#fade
    if (precision > 0) this.#take(stiffness, precision)
    this.stiffness = this.#weights > 0 ? this.#sum / this.#weights : 0
    this.precision = Math.min(this.#weights / (caution * caution), 1 / (leastSd * leastSd))
  }

  /** What the frame in hand tells by itself: no prior in it. */
  keep(stiffness: number, precision: number): void {
    this.#waitingStiffness[this.#at] = stiffness
    this.#waitingPrecision[this.#at] = precision
  }

  /** Ends the frame in hand. */
  next(): void {
    this.#at = this.#at + 1 === this.#waitingPrecision.length ? 0 : this.#at + 1
  }

  /** Whether a frame's own estimate may be of the same string. */
  agrees(stiffness: number, precision: number): boolean {
    if (this.precision === 0 || !(precision > 0)) return true
    const variance = 1 / precision + 1 / this.precision
    return (stiffness - this.stiffness) ** 2 < contradicts * contradicts * variance
  }

  #take(stiffness: number, precision: number): void {
    if (this.#weights > 0) {
      const mean = this.#sum / this.#weights
      const variance = 1 / precision + 1 / this.#weights + leastSd * leastSd
      if ((stiffness - mean) ** 2 > contradicts * contradicts * variance) {
        this.#against += this.#share
        if (this.#against < patience) return
        this.#weights = 0
        this.#sum = 0
      }
    }
    this.#against = 0
    this.#weights += this.#share * precision
    this.#sum += this.#share * precision * stiffness
  }
}
