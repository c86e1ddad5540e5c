/**
 * Sums of decaying sines, bit for bit the same in every engine.
 *
 * A steady voice is the two-term recurrence y[n] = 2 r cos(w) y[n-1] - r^2 y[n-2] (the impulse response of a two-pole
 * resonator): two multiplications a sample. While a glide lives, all voices share one bent time axis, tau = t + bend(t).
 * Between knots tau is a chord plus a small rest h, so a voice is a constant rotation, and the rest is put right for all
 * voices at once: sin(a + w h) = sin a + w h cos a, with w h kept under 1e-3, so that what is left out is below
 * (w h)^2 / 2 = -126 dB of the voice. Sine and cosine only at set-up, from the portable functions.
 *
 * Rounding: the coefficient 2 cos(w) is good to 1e-16, which moves a voice by at most 1e-16 / (2 w^2) of its frequency:
 * 1e-6 c for 15 Hz at 192 kHz, the worst case. A voice stops for good at -120 dB of the strongest one's start, long before
 * its numbers become too small for the hardware to handle at full speed.
 */
import { cos, exp, ln, sin } from '../maths/portable.ts'
import { Bend, type Glide, longestChord } from './bend.ts'

export interface Voice {
  readonly frequencyHz: number
  /** Peak at the onset; negative for a voice that starts downwards. */
  readonly amplitude: number
  /** Amplitude falls as exp(-decayPerS t). */
  readonly decayPerS: number
  /** 0: a sine that starts from zero. */
  readonly phaseRad: number
  /** Decay from `kneeS` after the onset on; absent: as before it. */
  readonly lateDecayPerS?: number
}

/** When the second slope of a decay takes over, s after the onset: the 0.4 s at which decays were measured in two parts. */
export const kneeS = 0.4

/** -120 dB: voices this far under the strongest one's start are left out or stop. */
export const faintest = 1e-6

/**
 * Adds the voices to `target` from `onset` on, counted in samples (a fraction is kept, a negative one has begun before).
 * Frequencies must lie under half the sample rate, glide included.
 */
export function addVoices(
  target: Float64Array,
  voices: readonly Voice[],
  sampleRateHz: number,
  onset: number,
  glide: Glide | null = null,
): void {
  // 0.07 * 48000 is 3360.0000000000005: a millionth of a sample is taken for rounding.
  const nearest = Math.round(onset)
  const begin = Math.abs(onset - nearest) < 1e-6 ? nearest : onset
  const first = Math.max(0, Math.ceil(begin))
  const strongest = voices.reduce((most, voice) => Math.max(most, Math.abs(voice.amplitude)), 0)
  const heard = voices.filter((voice) => Math.abs(voice.amplitude) > faintest * strongest)
  if (heard.length === 0 || first >= target.length) return
  const bend = glide === null || glide.cents === 0 ? null : new Bend(glide, sampleRateHz)
  const addSpan = (span: Float64Array, from: number, bank: Bank): void => {
    bank.start(from - begin, bend)
    const next = bend === null ? from : bank.addGliding(span, from, begin, bend)
    bank.addSettled(span, next, begin)
  }
  const bent = heard.some(({ decayPerS, lateDecayPerS = decayPerS }) => lateDecayPerS !== decayPerS)
  const knee = bent ? Math.max(first, Math.ceil(begin + kneeS * sampleRateHz)) : target.length
  addSpan(target.subarray(0, knee), first, new Bank(heard, sampleRateHz, strongest))
  if (knee >= target.length) return
  const late = heard.map(pastKnee).filter(({ amplitude }) => Math.abs(amplitude) > faintest * strongest)
  if (late.length > 0) addSpan(target, knee, new Bank(late, sampleRateHz, strongest, kneeS * sampleRateHz))
}

/** The voice as it stands at the knee. */
const pastKnee = (voice: Voice): Voice => ({
  ...voice,
  amplitude: voice.amplitude * exp(-voice.decayPerS * kneeS),
  decayPerS: voice.lateDecayPerS ?? voice.decayPerS,
})

/** Voices a pass: four resonators keep eight numbers in registers. */
const lanes = 4
/** Samples a block, 16 kB of the target: it stays in the first-level cache while all voices pass over it. */
const blockSamples = 2048

class Bank {
  readonly #count: number
  /** Samples after the onset at which the voices have their amplitudes. */
  readonly #origin: number
  readonly #angle: Float64Array
  readonly #amplitude: Float64Array
  readonly #phase: Float64Array
  /** Factor a sample. */
  readonly #decay: Float64Array
  readonly #decayExponent: Float64Array
  /** Samples after the onset at which a voice has sunk to the faintest level. */
  readonly #life: Float64Array
  /** cos and sin of the angle a sample. */
  readonly #stepCos: Float64Array
  readonly #stepSin: Float64Array
  /** The voices as they stand: real (cosine) and imaginary (sine) part. */
  readonly #re: Float64Array
  readonly #im: Float64Array

  constructor(voices: readonly Voice[], sampleRateHz: number, strongest: number, origin = 0) {
    // Silent voices fill the last pass.
    const count = Math.ceil(voices.length / lanes) * lanes
    const perVoice = (value: (voice: Voice) => number): Float64Array => {
      const values = new Float64Array(count)
      voices.forEach((voice, k) => {
        values[k] = value(voice)
      })
      return values
    }
    this.#count = count
    this.#origin = origin
    this.#angle = perVoice((voice) => (2 * Math.PI * voice.frequencyHz) / sampleRateHz)
    this.#amplitude = perVoice((voice) => voice.amplitude)
    this.#phase = perVoice((voice) => voice.phaseRad)
    this.#decayExponent = perVoice((voice) => -voice.decayPerS / sampleRateHz)
    this.#life = perVoice((voice) =>
      voice.decayPerS > 0
        ? origin + (ln(Math.abs(voice.amplitude) / (faintest * strongest)) / voice.decayPerS) * sampleRateHz
        : Number.POSITIVE_INFINITY,
    )
    this.#decay = this.#decayExponent.map(exp)
    this.#stepCos = this.#angle.map(cos)
    this.#stepSin = this.#angle.map(sin)
    this.#re = new Float64Array(count)
    this.#im = new Float64Array(count)
  }

  /** Sets every voice as it stands `samples` after the onset. */
  start(samples: number, bend: Bend | null): void {
    const bent = samples + (bend === null ? 0 : bend.at(samples))
    for (let k = 0; k < this.#count; k++) {
      const size = this.#amplitude[k] * exp(this.#decayExponent[k] * (samples - this.#origin))
      const phase = this.#phase[k] + this.#angle[k] * bent
      this.#re[k] = size * cos(phase)
      this.#im[k] = size * sin(phase)
    }
  }

  /** Adds samples until the glide is over or the target is full. Answers the first sample not written. */
  addGliding(target: Float64Array, from: number, onset: number, bend: Bend): number {
    const highest = this.#angle.reduce((most, angle) => Math.max(most, angle), 0)
    const sums = new Float64Array(longestChord)
    const slopes = new Float64Array(longestChord)
    const rests = new Float64Array(longestChord)
    const over = Math.min(target.length, Math.max(from, Math.ceil(onset + bend.lifeSamples)))
    let n = from
    while (n < over) {
      const length = Math.min(bend.chordSamples(n - onset, highest), over - n)
      const chord = bend.chord(n - onset, length, rests)
      sums.fill(0, 0, length)
      slopes.fill(0, 0, length)
      for (let k = 0; k < this.#count; k += 2) {
        if (Math.max(this.#life[k], this.#life[k + 1]) > n - onset) this.#addChord(k, length, chord, sums, slopes)
      }
      for (let i = 0; i < length; i++) target[n + i] += sums[i] + rests[i] * slopes[i]
      n += length
    }
    return n
  }

  /** Two voices over one chord: side by side they take less than half the time of one after the other. */
  #addChord(k: number, length: number, chord: number, sums: Float64Array, slopes: Float64Array): void {
    const first = this.#step(k, chord)
    const second = this.#step(k + 1, chord)
    const angle0 = this.#angle[k]
    const angle1 = this.#angle[k + 1]
    const cos0 = first.re
    const sin0 = first.im
    const cos1 = second.re
    const sin1 = second.im
    let re0 = this.#re[k]
    let im0 = this.#im[k]
    let re1 = this.#re[k + 1]
    let im1 = this.#im[k + 1]
    for (let i = 0; i < length; i++) {
      sums[i] += im0 + im1
      slopes[i] += angle0 * re0 + angle1 * re1
      const turned0 = cos0 * re0 - sin0 * im0
      const turned1 = cos1 * re1 - sin1 * im1
      im0 = sin0 * re0 + cos0 * im0
      im1 = sin1 * re1 + cos1 * im1
      re0 = turned0
      re1 = turned1
    }
    this.#re[k] = re0
    this.#im[k] = im0
    this.#re[k + 1] = re1
    this.#im[k + 1] = im1
  }

  /** Rotation and decay a sample on a chord. */
  #step(k: number, chord: number): { re: number; im: number } {
    // Extra angle a sample, at most 0.1 rad for 50 c at half the rate: the series are good to 1e-13.
    const x = this.#angle[k] * chord
    const xx = x * x
    const c = 1 - (xx / 2) * (1 - (xx / 12) * (1 - xx / 30))
    const s = x * (1 - (xx / 6) * (1 - (xx / 20) * (1 - xx / 42)))
    const r = this.#decay[k]
    return {
      re: r * (this.#stepCos[k] * c - this.#stepSin[k] * s),
      im: r * (this.#stepSin[k] * c + this.#stepCos[k] * s),
    }
  }

  /** Adds steady voices to the end of the target. Ends the life of the bank. */
  addSettled(target: Float64Array, from: number, onset: number): void {
    const count = this.#count
    const now = new Float64Array(count)
    const before = new Float64Array(count)
    const forward = new Float64Array(count)
    const back = new Float64Array(count)
    for (let k = 0; k < count; k++) {
      const r = this.#decay[k]
      now[k] = this.#im[k]
      before[k] = (this.#im[k] * this.#stepCos[k] - this.#re[k] * this.#stepSin[k]) / r
      forward[k] = 2 * r * this.#stepCos[k]
      back[k] = r * r
    }
    for (let start = from; start < target.length; start += blockSamples) {
      const end = Math.min(target.length, start + blockSamples)
      for (let k = 0; k < count; k += lanes) {
        const life = onset + Math.max(this.#life[k], this.#life[k + 1], this.#life[k + 2], this.#life[k + 3])
        if (life > start) addFour(target, start, Math.min(end, Math.ceil(life)), k, now, before, forward, back)
      }
    }
  }
}

/** The inner loop of all string sound: four resonators at once. */
function addFour(
  target: Float64Array,
  from: number,
  to: number,
  k: number,
  now: Float64Array,
  before: Float64Array,
  forward: Float64Array,
  back: Float64Array,
): void {
  const forward0 = forward[k]
  const forward1 = forward[k + 1]
  const forward2 = forward[k + 2]
  const forward3 = forward[k + 3]
  const back0 = back[k]
  const back1 = back[k + 1]
  const back2 = back[k + 2]
  const back3 = back[k + 3]
  let now0 = now[k]
  let now1 = now[k + 1]
  let now2 = now[k + 2]
  let now3 = now[k + 3]
  let before0 = before[k]
  let before1 = before[k + 1]
  let before2 = before[k + 2]
  let before3 = before[k + 3]
  for (let i = from; i < to; i++) {
    target[i] += now0 + now1 + (now2 + now3)
    const next0 = forward0 * now0 - back0 * before0
    const next1 = forward1 * now1 - back1 * before1
    const next2 = forward2 * now2 - back2 * before2
    const next3 = forward3 * now3 - back3 * before3
    before0 = now0
    before1 = now1
    before2 = now2
    before3 = now3
    now0 = next0
    now1 = next1
    now2 = next2
    now3 = next3
  }
  now[k] = now0
  now[k + 1] = now1
  now[k + 2] = now2
  now[k + 3] = now3
  before[k] = before0
  before[k + 1] = before1
  before[k + 2] = before2
  before[k + 3] = before3
}
