/**
 * SWIPE': the pitch whose sawtooth, prime harmonics only, resembles the square root of the spectrum most.
 *
 * Camacho & Harris 2008, "A sawtooth waveform inspired pitch estimator for speech and music", JASA 124:1638-1652; from memory:
 * specific loudness as the square root of the amplitude spectrum on an ERB-rate axis; a kernel of cosine lobes at harmonic 1
 * and the primes, with half-height valleys between neighbours, falling as 1 / sqrt(f), its positive part of unit length; the
 * strength of a pitch is the kernel's product with the loudness over the loudness's length. A Hann window of eight periods
 * matches the lobes; windows of power-of-two lengths are used and the two nearest a pitch are mixed by the logarithm of their
 * ratio. Here all windows lie in the middle of one frame, so that a reading has one evidence: low pitches get less than eight periods
 * when the frame holds no more. Candidates every 1/48 octave, parabola between (the paper refines by a polynomial).
 * Declines under strength 0.2. Stiff strings read sharp by the mean over their first prime partials.
 */
import type { Field } from '../fields.ts'
import { RealFourier } from '../maths/fourier.ts'
import { hann } from '../maths/windows.ts'
import { frameFields, framewise, lowPassFields } from './framewise.ts'
import { method } from './method.ts'

const fields = {
  ...frameFields,
  strength: {
    default: 0.2,
    min: 0,
    max: 1,
    unit: 'ratio',
    help: 'Declines when no pitch resembles the sound more than this.',
  },
  ...lowPassFields,
} as const satisfies Record<string, Field>

const perOctave = 48

/** A tenth of an ERB, as in the paper. */
const stepErb = 0.1

/** Above this guitars and voices have little, rooms much. */
const topHz = 5000

/** Hann lobes of half width 2 bins in a window of 8 periods are half as wide as the harmonics' spacing. */
const periodsPerWindow = 8

/** A mean leaves rounding of this part of the energy. */
const rounding = 1e-13

/** Glasberg & Moore 1990, Hear. Res. 47:103-138: ERBs below a frequency. */
const erbs = (hz: number): number => 21.4 * Math.log10(1 + hz / 229)
const hzOfErbs = (rate: number): number => 229 * (10 ** (rate / 21.4) - 1)

const isPrime = (n: number): boolean => {
  for (let d = 2; d * d <= n; d++) if (n % d === 0) return false
  return n >= 1
}

/** One window of the middle of the frame and the loudness it shows. */
interface View {
  readonly length: number
  readonly window: Float64Array
  readonly windowed: Float64Array
  readonly fourier: RealFourier
  readonly power: Float64Array
  readonly loudness: Float64Array
  readonly binHz: number
}

export const swipePrime = method({
  id: 'swipe-prime',
  title: "SWIPE'",
  source: 'Camacho & Harris 2008, JASA 124:1638-1652',
  family: 'blind',
  fields,
  open(stream, values) {
    const { sampleRateHz, lowestHz, highestHz } = stream
    const top = Math.min(topHz, 0.45 * sampleRateHz)
    const fromErb = erbs(lowestHz / 4)
    const hz = Float64Array.from({ length: Math.floor((erbs(top) - fromErb) / stepErb) + 1 }, (_, i) =>
      hzOfErbs(fromErb + i * stepErb),
    )
    const pitches = Float64Array.from(
      { length: Math.floor(perOctave * Math.log2(highestHz / lowestHz)) + 1 },
      (_, i) => lowestHz * 2 ** (i / perOctave),
    )
    const kernels = Array.from(pitches, (pitch) => kernelOf(pitch, hz))
    const views: View[] = []
    const least = (periodsPerWindow * sampleRateHz) / highestHz
    for (let length = values.window; views.length === 0 || (2 * length > least && length >= 64); length >>= 1) {
      let size = 16
      while (size < 2 * length) size *= 2
      views.push({
        length,
        window: hann(length),
        windowed: new Float64Array(length),
        fourier: new RealFourier(size),
        power: new Float64Array(size / 2 + 1),
        loudness: new Float64Array(hz.length),
        binHz: sampleRateHz / size,
      })
    }
    const strengths = new Float64Array(pitches.length)
    const lengths = new Float64Array(views.length)

    return framewise(stream, values, (frame, estimate) => {
      let sum = 0
      let raw = 0
      for (let i = 0; i < frame.length; i++) {
        sum += frame[i]
        raw += frame[i] * frame[i]
      }
      const mean = sum / frame.length
      let energy = 0
      for (let i = 0; i < frame.length; i++) energy += (frame[i] - mean) ** 2
      if (!(energy > rounding * raw)) return
      for (let v = 0; v < views.length; v++) lengths[v] = look(views[v], frame, mean, hz)
      let best = 0
      for (let p = 0; p < pitches.length; p++) {
        // How many halvings of the frame the eight periods of this pitch are.
        const halvings = Math.log2((values.window * pitches[p]) / (periodsPerWindow * sampleRateHz))
        const place = Math.max(0, Math.min(views.length - 1, halvings))
        const longer = Math.floor(place)
        const shorter = Math.min(views.length - 1, longer + 1)
        const share = place - longer
        const kernel = kernels[p]
        let a = 0
        let b = 0
        for (let i = 0; i < kernel.values.length; i++) {
          a += kernel.values[i] * views[longer].loudness[kernel.from + i]
          b += kernel.values[i] * views[shorter].loudness[kernel.from + i]
        }
        a = lengths[longer] > 0 ? a / lengths[longer] : 0
        b = lengths[shorter] > 0 ? b / lengths[shorter] : 0
        strengths[p] = (1 - share) * a + share * b
        if (strengths[p] > strengths[best]) best = p
      }
      if (best === 0 || best === pitches.length - 1 || !(strengths[best] > values.strength)) return
      const bend = strengths[best - 1] - 2 * strengths[best] + strengths[best + 1]
      const turn = bend < 0 ? (0.5 * (strengths[best - 1] - strengths[best + 1])) / bend : 0
      estimate.f0Hz = pitches[best] * 2 ** (Math.max(-1, Math.min(1, turn)) / perOctave)
      estimate.confidence = Math.min(1, strengths[best])
    })
  },
})

/** Fills the view's loudness; answers its length. */
function look(view: View, frame: Float32Array, mean: number, hz: Float64Array): number {
  const { length, window, windowed, fourier, power, loudness, binHz } = view
  const start = (frame.length - length) >> 1
  for (let i = 0; i < length; i++) windowed[i] = (frame[start + i] - mean) * window[i]
  fourier.power(windowed, power)
  let squares = 0
  for (let i = 0; i < hz.length; i++) {
    const place = hz[i] / binHz
    const bin = Math.floor(place)
    const below = Math.sqrt(power[bin])
    const amplitude = below + (place - bin) * (Math.sqrt(power[bin + 1]) - below)
    loudness[i] = Math.sqrt(amplitude)
    squares += amplitude
  }
  return Math.sqrt(squares)
}

function kernelOf(pitch: number, hz: Float64Array): { from: number; values: Float64Array } {
  const values = new Float64Array(hz.length)
  const highest = Math.max(1, Math.floor(hz[hz.length - 1] / pitch - 0.75))
  for (let i = 0; i < hz.length; i++) {
    const ratio = hz[i] / pitch
    const below = Math.floor(ratio)
    // A lobe reaches a quarter of a harmonic, the valleys on its two sides to three quarters: two harmonics at most say something.
    for (let n = Math.max(1, below); n <= Math.min(highest, below + 1); n++) {
      if (!isPrime(n)) continue
      const off = Math.abs(ratio - n)
      if (off < 0.75) values[i] += (off < 0.25 ? 1 : 0.5) * Math.cos(2 * Math.PI * ratio)
    }
  }
  let squares = 0
  for (let i = 0; i < hz.length; i++) {
    values[i] /= Math.sqrt(hz[i])
    if (values[i] > 0) squares += values[i] * values[i]
  }
  let from = 0
  while (from < hz.length && values[from] === 0) from++
  return { from, values: values.subarray(from).map((value) => value / Math.sqrt(squares)) }
}
