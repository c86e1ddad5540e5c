/**
 * Which string of a set sounds: "find the string".
 *
 * Every string is looked for at once, each within 150 c of its target, by the whitened sum over partials
 * (methods/combsearch.ts) in one spectrum of a third of a second. A string counts when its comb is filled throughout and no
 * lower string's partials stand between (combevidence.ts), and it alone does. A call needs several such looks in a row that
 * agree: a note of the room that comes and goes gives none. Where the noise take was learnt, what stands must stand
 * over the loudest the room was in any second of it. Declines when unsure: two strings at once, a string farther off than
 * 150 c, a string that rings under another. Source: own. Not valid for a room that plays the very note and holds it.
 */
import { RealFourier } from '../maths/fourier.ts'
import { densityAt, type Spectrum } from '../maths/spectrum.ts'
import { median } from '../maths/statistics.ts'
import { centsBetween } from '../maths/units.ts'
import { hann } from '../maths/windows.ts'
import { CombSearch, searchCents } from '../methods/combsearch.ts'
import { Decimator } from '../methods/decimator.ts'
import { partialHz } from '../methods/stringlaw.ts'
import { Problem } from '../problem.ts'
import type { AimedEvidence } from './aimedevidence.ts'
import { isFull, isUpperOf, type OverNoise } from './combevidence.ts'
import { checkRate, type NoiseFigures } from './noisetake.ts'
import type { RoomString } from './roomstring.ts'

export interface FoundString {
  /** null: no call. */
  readonly id: string | null
  /** Off the string's target, good to a few cents; NaN without a call. */
  readonly cents: number
  /** 0..1; 0 without a call. */
  readonly confidence: number
}

export interface FinderReading extends FoundString {
  /** Newest sample it rests on, seconds from the start of the stream. */
  readonly atS: number
}

/** As the whitened sum hears by default; a bass string has 14 periods in it. */
export const finderWindowS = 0.34
/** Four looks to a window: each has a quarter of new sound. */
const looksPerWindow = 4
/** In a row, of one string: half a second of sound all in all, longer than most notes of a bass line. */
const agreeing = 4
/** Within which they agree. */
const agreeCents = 15
/** Ten partials of a guitar's first string. */
const usefulHz = 4000
const mostPartials = 10
/** Nepers a partial under which a comb may be noise: as methods/whitened-sum.ts measured it. */
const leastPerPartial = 1.7
/** A partial heard by 13 dB says all it can. */
const loudestNepers = 3
const fewestPartials = 4
/** Sympathetic strings stay further under the plucked one; what is nearer is a second string. */
const besideShare = 0.01
/** A stiff string's fourth partial is 5 c sharp, and the search's grid is as coarse as 10 c. */
const multipleCents = 30
/** Readings are good to a few cents: a string that is 150 c off may read as 154. */
const mostCents = searchCents + 5
/** 100 dB under full scale swings nothing that a string does. */
const silence = 1e-10

interface Aim {
  readonly string: RoomString
  readonly search: CombSearch
  readonly worth: Float64Array
}

/** Hears a stream and says, every 85 ms, which string sounds. */
export class StringFinder {
  readonly #sampleRateHz: number
  readonly #decimator: Decimator
  readonly #length: number
  readonly #hop: number
  readonly #recent: Float64Array
  readonly #window: Float64Array
  readonly #frame: Float64Array
  readonly #fourier: RealFourier
  readonly #power: Float64Array
  readonly #binHz: number
  readonly #aims: readonly Aim[]
  #silent = true
  #at = 0
  #untilLook: number
  #heard = 0
  #lastId: string | null = null
  #row: number[] = []

  /**
   * @param room null: not learnt; notes of the room are then more easily taken for strings.
   * @throws Problem without strings, or for one that the rate cannot hold.
   */
  constructor(sampleRateHz: number, strings: readonly RoomString[], room: NoiseFigures | null) {
    checkRate(sampleRateHz)
    if (strings.length === 0) throw new Problem('there is none to be found', 'strings')
    for (const [i, { targetHz }] of strings.entries()) {
      if (!(targetHz >= 20 && targetHz <= 0.2 * sampleRateHz)) {
        throw new Problem(`${targetHz} is not between 20 and ${0.2 * sampleRateHz} Hz`, `strings.${i}.targetHz`)
      }
    }
    this.#sampleRateHz = sampleRateHz
    const passHz = Math.min(0.4 * sampleRateHz, usefulHz)
    const factor = Math.max(1, Math.floor(sampleRateHz / (2.6 * passHz)))
    this.#decimator = new Decimator(sampleRateHz, factor, passHz)
    const rateHz = sampleRateHz / factor
    this.#length = Math.round(finderWindowS * rateHz)
    this.#hop = Math.round(this.#length / looksPerWindow)
    this.#untilLook = this.#length
    this.#recent = new Float64Array(this.#length)
    this.#window = hann(this.#length)
    let size = 16
    while (size < 2 * this.#length) size *= 2
    this.#frame = new Float64Array(size)
    this.#fourier = new RealFourier(size)
    this.#power = new Float64Array(size / 2 + 1)
    this.#binHz = rateHz / size
    const energy = this.#window.reduce((sum, w) => sum + w * w, 0)
    const bins = Math.min(this.#power.length, Math.ceil(passHz / this.#binHz) + 4)
    const lobeHz = (2 * rateHz) / this.#length
    const roomPower =
      room === null
        ? null
        : Float64Array.from(
            { length: bins },
            (_, i) => (smoothed(room.loudestSpectrum, i * this.#binHz, lobeHz) / 2) * rateHz * energy,
          )
    this.#aims = strings.map((string) => {
      const { targetHz } = string
      const partials = Math.max(1, Math.min(mostPartials, Math.floor(passHz / (1.1 * targetHz))))
      const search = new CombSearch(targetHz, partials, this.#binHz, bins, lobeHz, roomPower)
      return { string, search, worth: new Float64Array(partials) }
    })
  }

  /** Blocks of any length. The reading is the receiver's to keep. Never throws for data. */
  push(samples: Float32Array, emit: (reading: FinderReading) => void): void {
    for (const sample of samples) {
      this.#heard++
      if (!this.#decimator.push(Number.isFinite(sample) ? sample : 0)) continue
      this.#recent[this.#at] = this.#decimator.output
      this.#at = this.#at + 1 === this.#length ? 0 : this.#at + 1
      if (--this.#untilLook > 0) continue
      this.#untilLook = this.#hop
      emit({ atS: this.#heard / this.#sampleRateHz, ...this.#agreed(this.#look()) })
    }
  }

  /** The newest look as evidence of one string by itself; call it as a reading comes. False: nothing stands at its partials. */
  addTo(evidence: AimedEvidence, id: string): boolean {
    const search = this.#aims.find(({ string }) => string.id === id)?.search
    if (search === undefined || this.#silent || !stands(search)) return false
    evidence.add(search.law, search.partials, this.#overNoise(search))
    return true
  }

  /** The one string of the newest window; null: none, or more than one. */
  #look(): { readonly aim: Aim; readonly hz: number; readonly confidence: number } | null {
    const length = this.#length
    let mean = 0
    for (const sample of this.#recent) mean += sample / length
    let squares = 0
    for (let i = 0, from = this.#at; i < length; i++, from = from + 1 === length ? 0 : from + 1) {
      const sample = this.#recent[from] - mean
      squares += sample * sample
      this.#frame[i] = sample * this.#window[i]
    }
    this.#silent = !(squares > silence * length)
    if (this.#silent) return null
    this.#fourier.power(this.#frame, this.#power)
    const full = this.#strongest(this.#aims.filter((aim) => this.#isFull(aim)))
    const own = full.filter(({ search }) => !isUpperOf(search.law.f1Hz, this.#overNoise(search)))
    if (own.length !== 1) return null
    const [aim] = own as [Aim]
    const { search } = aim
    // Whatever else fills its comb must be this string's own upper partials.
    if (!full.every((other) => isMultiple(other.search.law.f1Hz, search.law.f1Hz))) return null
    const hz = search.refinedHz()
    // At the edge of what is searched the string may lie beyond it, where other partials than its own fit better.
    if (Math.abs(centsBetween(hz, aim.string.targetHz)) > mostCents) return null
    return { aim, hz, confidence: 1 - (leastPerPartial * search.partials) / search.score }
  }

  /** Those whose usual partial is within 20 dB of the strongest's: what rings along is not in hand. */
  #strongest(full: readonly Aim[]): readonly Aim[] {
    const powers = full.map(({ search }) => {
      const at = this.#overNoise(search)
      return median(Array.from({ length: search.partials }, (_, i) => at(partialHz(search.law, i + 1)).power))
    })
    const most = Math.max(...powers)
    return full.filter((_, i) => powers[i] > besideShare * most)
  }

  #isFull({ search, worth }: Aim): boolean {
    search.search(this.#power)
    if (!stands(search)) return false
    search.excess(worth, loudestNepers)
    return isFull(worth, search.partials, fewestPartials)
  }

  #overNoise({ noise }: CombSearch): OverNoise {
    return (hz) => {
      const bin = Math.max(1, Math.min(noise.length - 2, Math.round(hz / this.#binHz)))
      const power = Math.max(this.#power[bin - 1], this.#power[bin], this.#power[bin + 1])
      return { over: power / noise[bin], power }
    }
  }

  #agreed(look: { readonly aim: Aim; readonly hz: number; readonly confidence: number } | null): FoundString {
    if (look === null) {
      this.#lastId = null
      this.#row = []
      return { id: null, cents: Number.NaN, confidence: 0 }
    }
    const { string } = look.aim
    const cents = centsBetween(look.hz, string.targetHz)
    const previous = this.#row.at(-1)
    if (string.id !== this.#lastId || previous === undefined || Math.abs(cents - previous) > agreeCents) this.#row = []
    this.#lastId = string.id
    this.#row.push(cents)
    if (this.#row.length < agreeing) return { id: null, cents: Number.NaN, confidence: 0 }
    return { id: string.id, cents: median(this.#row.slice(-agreeing)), confidence: look.confidence }
  }
}

const stands = ({ score, partials }: CombSearch): boolean => score > leastPerPartial * partials

const isMultiple = (hz: number, f1Hz: number): boolean =>
  Math.abs(centsBetween(hz, f1Hz * Math.max(1, Math.round(hz / f1Hz)))) < multipleCents

/** As a window of that main lobe would see it: what is sharper than the finder's spectrum makes steps in it. */
function smoothed(spectrum: Spectrum, hz: number, lobeHz: number): number {
  const steps = Math.max(1, Math.ceil(lobeHz / spectrum.binHz))
  let [sum, weights] = [0, 0]
  for (let step = -steps; step <= steps; step++) {
    const weight = 0.5 + 0.5 * Math.cos((Math.PI * step) / (steps + 1))
    sum += weight * densityAt(spectrum, hz + step * spectrum.binHz)
    weights += weight
  }
  return sum / weights
}

/** The one string that a take holds: the one that is called, if only one ever is; null when the finder is not sure. */
export function findString(
  samples: Float32Array,
  sampleRateHz: number,
  strings: readonly RoomString[],
  room: NoiseFigures | null,
): FoundString {
  const calls: FinderReading[] = []
  new StringFinder(sampleRateHz, strings, room).push(samples, (reading) => {
    if (reading.id !== null) calls.push(reading)
  })
  const [first] = calls
  if (first === undefined || calls.some(({ id }) => id !== first.id))
    return { id: null, cents: Number.NaN, confidence: 0 }
  return {
    id: first.id,
    cents: median(calls.map(({ cents }) => cents)),
    confidence: median(calls.map(({ confidence }) => confidence)),
  }
}
