/**
 * Beside methods that are aimed at one string: when it is plucked, and whether what sounds is another note. Aimed methods read
 * an octave above as the string itself, for even partials of the one are the other's.
 *
 * A word is said after several looks in a row that agree (aimedevidence.ts, or a call of another string by the finder), and
 * stands until the next pluck, until the string itself is heard, or until nothing has been for three seconds: methods read
 * a note for longer than it can be told from another. What it is worth: tests/bench/room.md.
 */
import { OnsetFinder } from '../methods/onset.ts'
import { AimedEvidence, type Evidence } from './aimedevidence.ts'
import type { NoiseFigures } from './noisetake.ts'
import type { RoomString } from './roomstring.ts'
import { finderWindowS, StringFinder } from './stringfinder.ts'

/** Another note than the string's. `string`: id of the one that it is, where the finder calls one. */
export interface Foreign {
  readonly kind: 'octave-above' | 'another'
  readonly string: string | null
}

export interface Watching {
  /** The string, or what has its period, was plucked: everything before is another pluck's. */
  onPluck(): void
  /** Said when it changes; null: nothing that is sure. */
  onForeign(foreign: Foreign | null): void
}

/** Looks in a row that say the same, each over what is needed of several (aimedevidence.ts) or itself a call of several. */
const agreeing = 2
/** Three seconds of looks of 85 ms: a method that follows a fading note may read it for as long (assumption). */
const quietLooks = 36

export class AimedWatch {
  readonly #aimed: string
  readonly #watching: Watching
  readonly #finder: StringFinder
  readonly #onsets: OnsetFinder
  readonly #evidence = new AimedEvidence()
  readonly #sampleRateHz: number
  #onsetSample = Number.NaN
  #told: Foreign | null = null
  #last = ''
  #row = 0
  #quiet = 0

  /** @param aimed one of `strings`. @throws Problem for a string that the rate cannot hold. */
  constructor(
    sampleRateHz: number,
    aimed: RoomString,
    strings: readonly RoomString[],
    room: NoiseFigures | null,
    watching: Watching,
  ) {
    this.#sampleRateHz = sampleRateHz
    this.#aimed = aimed.id
    this.#watching = watching
    this.#finder = new StringFinder(sampleRateHz, strings, room)
    this.#onsets = new OnsetFinder({ sampleRateHz, targetHz: aimed.targetHz, room: room?.spectrum ?? null })
  }

  /** Blocks of any length. Never throws for data. */
  push(samples: Float32Array): void {
    let done = 0
    for (const [i, sample] of samples.entries()) {
      const { onsetSample, standing } = this.#listen(sample)
      if (standing !== 'confirmed' || onsetSample === this.#onsetSample) continue
      this.#find(samples.subarray(done, i + 1))
      done = i + 1
      this.#onsetSample = onsetSample
      this.#row = 0
      this.#evidence.forget()
      this.#tell(null)
      this.#watching.onPluck()
    }
    this.#find(samples.subarray(done))
  }

  #find(samples: Float32Array): void {
    this.#finder.push(samples, ({ id, atS }) => {
      // Until it hears nothing but the new pluck, what the finder calls is what sounded before.
      const isOld = atS - this.#onsetSample / this.#sampleRateHz < finderWindowS
      this.#look(isOld ? null : id)
    })
  }

  #listen(sample: number): OnsetFinder {
    this.#onsets.push(Number.isFinite(sample) ? sample : 0)
    return this.#onsets
  }

  #look(called: string | null): void {
    const stands = this.#finder.addTo(this.#evidence, this.#aimed)
    if (!stands) this.#evidence.forget()
    this.#quiet = stands || called !== null ? 0 : this.#quiet + 1
    const word =
      called === null ? wordOf(this.#evidence.evidence()) : called === this.#aimed ? 'own' : `string ${called}`
    this.#row = word === this.#last ? this.#row + 1 : 1
    this.#last = word
    if (this.#quiet >= quietLooks) this.#tell(null)
    else if (this.#row < agreeing || word === '') return
    else if (word === 'own') this.#tell(null)
    else if (word === 'octave-above') this.#tell({ kind: 'octave-above', string: null })
    else this.#tell({ kind: 'another', string: called })
  }

  #tell(foreign: Foreign | null): void {
    const same = foreign?.kind === this.#told?.kind && foreign?.string === this.#told?.string
    this.#told = foreign
    if (!same) this.#watching.onForeign(foreign)
  }
}

const wordOf = (evidence: Evidence): 'own' | 'octave-above' | 'another' | '' =>
  evidence === 'unsure' ? '' : evidence === 'higher' || evidence === 'lower' ? 'another' : evidence
