/**
 * Recorded plucks that may stand for one: those about as hard and about as far off its note, on the same side of it.
 *
 * Beside a stage whose bass line plays a string's own note, whitened-sum claimed an E2 that was 10 to 20 c flat 3 c flat of where it was,
 * one as far sharp 4 c sharp, and one nearly in tune 2 c sharp (medians of 400 evenings; a ratio of 5 dB on the third lowest string).
 */
import { AsHard, asHardDb } from './byforce.ts'
import type { WantedPluck } from './plucks.ts'

/** A pluck is as far off as another within this, or within a share of how far off it is; together with force (byforce.ts) by Pythagoras. */
const asFarCents = 2
const asFarShare = 0.25
/** Looked through for those that are also as far off: at the ends of the row more than are as hard. */
const fewestLookedAt = 16
/** Where fewer are as hard and as far off, so many nearest ones stand in: chance has a few to choose from. */
const fewest = 3

/** Who stands in is looked up once for all plucks within half of what counts as hard and as far off: a plan asks millions of times. */
const mostDb = 10
const forceSteps = 2 * mostDb + 1
const stepOfForce = (db: number): number => Math.round(Math.max(-mostDb, Math.min(mostDb, db))) + mostDb

/** A cent each up to here, then four steps an octave up to the farthest that a turn follows. */
const evenCents = 8
const perOctave = 4
const farthestCents = 256
const distanceSteps = evenCents + perOctave * Math.log2(farthestCents / evenCents)
const detuneSteps = 2 * distanceSteps + 1

/** Of every whole cent. */
const distanceStep = Uint8Array.from({ length: farthestCents + 1 }, (_, cents) =>
  Math.round(cents <= evenCents ? cents : evenCents + perOctave * Math.log2(cents / evenCents)),
)

function stepOfDetune(cents: number): number {
  const step = distanceStep[Math.round(Math.min(farthestCents, Math.abs(cents)))]
  return distanceSteps + (cents < 0 ? -step : step)
}

function detuneOfStep(step: number): number {
  const size = Math.abs(step - distanceSteps)
  const cents = size <= evenCents ? size : evenCents * 2 ** ((size - evenCents) / perOctave)
  return step < distanceSteps ? -cents : cents
}

export class StandIns {
  readonly #harderDb: Float64Array
  readonly #detuneCents: Float64Array
  /**
   * [force step * detune steps + detune step]: where in #places its places begin, and how many they are; 0: not yet looked up. 16 bits:
   * a study has at most 10 000 plucks a cell.
   */
  readonly #from = new Uint32Array(forceSteps * detuneSteps)
  readonly #count = new Uint16Array(forceSteps * detuneSteps)
  #places = new Uint16Array(64)
  #used = 0
  readonly #asHard: AsHard
  readonly #offs: Float64Array
  readonly #nearest = new Float64Array(fewest)

  /** Of each pluck, the softest first; at least one. `trials`: what they are known by. */
  constructor(
    readonly trials: Uint32Array,
    harderDb: Float64Array,
    detuneCents: Float64Array,
  ) {
    this.#harderDb = harderDb
    this.#detuneCents = detuneCents
    this.#asHard = new AsHard(harderDb)
    this.#offs = new Float64Array(harderDb.length)
  }

  get softestDb(): number {
    return this.#harderDb[0]
  }

  get hardestDb(): number {
    return this.#harderDb[this.#harderDb.length - 1]
  }

  /** The place of one of them, by `chance` in [0, 1); not of the last one, if there is another. */
  pick({ harderDb, residualCents, last }: WantedPluck, chance: number): number {
    const force = stepOfForce(Math.max(this.softestDb, Math.min(this.hardestDb, harderDb)))
    const detune = stepOfDetune(residualCents)
    const cell = force * detuneSteps + detune
    if (this.#count[cell] === 0) this.#lookUp(cell, force - mostDb, detuneOfStep(detune))
    const from = this.#from[cell]
    const at = Math.floor(chance * this.#count[cell])
    const place = this.#places[from + at]
    return this.trials[place] === last ? this.#places[from + ((at + 1) % this.#count[cell])] : place
  }

  /** As many as are wanted at least, and all that are as near as the last of them. */
  #lookUp(cell: number, harderDb: number, detuneCents: number): void {
    const [forces, detunes, window] = [this.#harderDb, this.#detuneCents, this.#asHard]
    window.find(harderDb, fewestLookedAt)
    const { from, to } = window
    const perCent = 1 / Math.max(asFarCents, asFarShare * Math.abs(detuneCents))
    const offs = this.#offs
    const nearest = this.#nearest.fill(Number.POSITIVE_INFINITY)
    for (let at = from; at < to; at++) {
      const hard = (forces[at] - harderDb) / asHardDb
      const far = (detunes[at] - detuneCents) * perCent
      let off = hard * hard + far * far
      offs[at] = off
      for (let place = 0; place < fewest && off < nearest[fewest - 1]; place++) {
        if (off >= nearest[place]) continue
        const farther = nearest[place]
        nearest[place] = off
        off = farther
      }
    }
    const within = Math.max(1, nearest[fewest - 1])
    this.#from[cell] = this.#used
    for (let at = from; at < to; at++) if (offs[at] <= within) this.#add(at)
    this.#count[cell] = this.#used - this.#from[cell]
  }

  #add(place: number): void {
    if (this.#used === this.#places.length) {
      const more = new Uint16Array(2 * this.#used)
      more.set(this.#places)
      this.#places = more
    }
    this.#places[this.#used++] = place
  }
}

/** `values`, one a pluck of a row, at any force: straight from one dB to the next. */
export class ByForceSteps {
  readonly #values: Float64Array

  constructor(harderDb: Float64Array, values: Float64Array) {
    const row = new AsHard(harderDb)
    this.#values = Float64Array.from({ length: forceSteps }, (_, step) => row.at(values, step - mostDb))
  }

  at(harderDb: number): number {
    const place = Math.max(0, Math.min(forceSteps - 1, harderDb + mostDb))
    const step = Math.min(forceSteps - 2, Math.floor(place))
    return this.#values[step] + (place - step) * (this.#values[step + 1] - this.#values[step])
  }
}
