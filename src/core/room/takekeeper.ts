/**
 * Cuts the parts of a guided take out of a stream as it is heard: so many seconds of noise, or a pluck from half a second before
 * its onset to three after it. Beside that it keeps the level.
 *
 * Onsets are told by methods/onset.ts, aimed at the string that was asked for; only one that has the period of the note
 * counts, so drums and talk start nothing as a rule (its head note has the shares). Where sound was lost, what was kept
 * before is no neighbour of what comes after: a part that reaches over it says how much was lost. On which side of a loss the
 * samples around it lie is not known, so a part is broken by any loss since its first sample.
 */
import type { Spectrum } from '../maths/spectrum.ts'
import { OnsetFinder } from '../methods/onset.ts'
import { LevelMeter } from './levelmeter.ts'
import { checkRate } from './noisetake.ts'
import { type PartFaults, partFaults } from './partfaults.ts'

/** Third octaves of 25 Hz come with an interval of some 4 dB either way after so long, and a person waits no longer. */
export const noiseTakeS = 8
/** What the string's figures want before the onset, with some to spare. */
export const leadS = 0.5
export const pluckTakeS = 3
/** The longest part and what may come between its end and the look at it. */
const ringS = 12

export type KeepWish =
  | { readonly kind: 'noise'; readonly lengthS: number }
  | { readonly kind: 'pluck'; readonly targetHz: number; readonly room: Spectrum | null }

export interface KeptPart extends PartFaults {
  /** Place of its first sample in the stream. */
  readonly startSample: number
  /** The receiver's own. */
  readonly samples: Float32Array<ArrayBuffer>
  /** Where the pluck was found to begin, from the part's start; null: noise, or none was found. */
  readonly onsetS: number | null
  readonly lostSamples: number
}

export interface Keeping {
  onOnset(ticket: number): void
  onKept(ticket: number, part: KeptPart): void
}

interface Wanted {
  readonly ticket: number
  readonly wish: KeepWish
  /** Hears from `askedAt` on; null: noise. */
  readonly finder: OnsetFinder | null
  readonly askedAt: number
  from: number
  /** Infinity while no onset is found. */
  to: number
  onset: number
  lost: number
}

export class TakeKeeper {
  readonly meter: LevelMeter
  readonly #sampleRateHz: number
  readonly #keeping: Keeping
  readonly #ring: Float32Array
  #heard = 0
  /** The oldest sample with no loss between it and the newest. */
  #unbrokenFrom = 0
  #lost = 0
  #wanted: Wanted | null = null

  /** @throws Problem for a rate outside 8 to 192 kHz. */
  constructor(sampleRateHz: number, keeping: Keeping) {
    checkRate(sampleRateHz)
    this.meter = new LevelMeter(sampleRateHz)
    this.#sampleRateHz = sampleRateHz
    this.#keeping = keeping
    this.#ring = new Float32Array(Math.round(ringS * sampleRateHz))
  }

  get heardSamples(): number {
    return this.#heard
  }

  /** From the next sample on, in place of whatever was asked for before; null: nothing. @throws Problem for a target that cannot be heard. */
  ask(ticket: number, wish: KeepWish | null): void {
    if (wish === null) {
      this.#wanted = null
      return
    }
    const common = { ticket, wish, askedAt: this.#heard, from: this.#heard, onset: Number.NaN, lost: 0 }
    this.#wanted =
      wish.kind === 'noise'
        ? { ...common, finder: null, to: this.#heard + Math.round(wish.lengthS * this.#sampleRateHz) }
        : { ...common, finder: this.#finderFor(wish), to: Number.POSITIVE_INFINITY }
  }

  /** The pluck that is waited for lies in what was heard last, says the person: keeps the last seconds as it. */
  keepNow(): void {
    const wanted = this.#wanted
    if (wanted === null || wanted.finder === null || Number.isFinite(wanted.to)) return
    wanted.to = this.#heard
    wanted.from = Math.max(this.#unbrokenFrom, this.#heard - this.#samplesOf(leadS + pluckTakeS))
    this.#end(wanted)
  }

  /** Blocks of any length. `lostSamples`: all that were lost so far. Never throws for data. */
  push(samples: Float32Array, lostSamples: number): void {
    if (lostSamples > this.#lost) this.#break(lostSamples)
    const ring = this.#ring
    for (const heard of samples) {
      const sample = Number.isFinite(heard) ? heard : 0
      ring[this.#heard % ring.length] = sample
      this.#heard++
      this.meter.push(sample)
      this.#follow(sample)
    }
  }

  #break(lostSamples: number): void {
    const wanted = this.#wanted
    if (wanted !== null) {
      wanted.lost += lostSamples - this.#lost
      // Before the onset nothing is lost that was wanted: the wait begins anew, for a jump in the sound is no pluck.
      if (wanted.finder !== null && !Number.isFinite(wanted.to)) this.ask(wanted.ticket, wanted.wish)
    }
    this.#lost = lostSamples
    this.#unbrokenFrom = this.#heard
  }

  #follow(sample: number): void {
    const wanted = this.#wanted
    if (wanted === null) return
    if (this.#heard >= wanted.to) {
      this.#end(wanted)
      return
    }
    const { finder } = wanted
    if (finder === null || Number.isFinite(wanted.to)) return
    finder.push(sample)
    if (finder.standing !== 'confirmed' || Number.isNaN(finder.onsetSample)) return
    wanted.onset = wanted.askedAt + finder.onsetSample
    wanted.from = Math.max(this.#unbrokenFrom, Math.round(wanted.onset) - this.#samplesOf(leadS))
    wanted.to = Math.round(wanted.onset) + this.#samplesOf(pluckTakeS)
    this.#keeping.onOnset(wanted.ticket)
  }

  #end({ ticket, from, to, onset, lost }: Wanted): void {
    this.#wanted = null
    const samples = new Float32Array(to - from)
    for (let i = 0; i < samples.length; i++) samples[i] = this.#ring[(from + i) % this.#ring.length]
    this.#keeping.onKept(ticket, {
      startSample: from,
      samples,
      onsetS: Number.isNaN(onset) ? null : (onset - from) / this.#sampleRateHz,
      lostSamples: lost,
      ...partFaults(samples, this.#sampleRateHz),
    })
  }

  #finderFor({ targetHz, room }: Extract<KeepWish, { kind: 'pluck' }>): OnsetFinder {
    return new OnsetFinder({ sampleRateHz: this.#sampleRateHz, targetHz, room })
  }

  #samplesOf(seconds: number): number {
    return Math.round(seconds * this.#sampleRateHz)
  }
}
