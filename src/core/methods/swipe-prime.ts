/**
 * SWIPE': the pitch whose sawtooth, prime harmonics only, resembles the square root of the spectrum most.
 *
 * Camacho & Harris 2008, "A sawtooth waveform inspired pitch estimator for speech and music", JASA 124:1638-1652; from memory:
 * specific loudness as the square root of the amplitude spectrum on an ERB-rate axis; a kernel of cosine lobes at harmonic 1
 * and the primes, with half-height valleys between neighbours, falling as 1 / sqrt(f), its positive part of unit length; the
 * strength of a pitch is the kernel's product with the loudness over the loudness's length. A Hann window of eight periods
 * matches the lobes; windows of power-of-two lengths are used and the two nearest a pitch are mixed by the logarithm of their
 * ratio. Here all windows lie in the middle of one frame, so that a reading has one evidence: low pitches get less than eight periods
 * when the frame holds no more. Candidates every 1/48 octave (every fourth first, then those between
 * that may win), parabola between (the paper refines by a polynomial).
 * Declines under strength 0.2. Stiff strings read sharp by the mean over their first prime partials.
 */
import type { Field, Values } from '../fields.ts'
import { LowPower } from '../maths/lowpower.ts'
import { hann } from '../maths/windows.ts'
import { frameFields, framewise, lowPassFields } from './framewise.ts'
import { method, type Stream } from './method.ts'
import type { PitchCurve } from './pitchcurve.ts'

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

/** Candidates of the first pass: every fourth. */
const coarseStep = 4

/**
 * A pitch between two of them is no stronger than the stronger one by more: 0.039 was the most in 34 740 frames of strings from 41 to
 * 1046 Hz at -10 to 25 dB in five noises, windows of 2048 to 8192; 0.025 where the best passes 0.1.
 */
const mostAbove = 0.08

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
  readonly spectrum: LowPower
  readonly power: Float64Array
  readonly loudness: Float64Array
  /** Where the loudness's points lie, in bins. */
  readonly places: Float64Array
}

export const swipePrime = method({
  id: 'swipe-prime',
  title: "SWIPE'",
  source: 'Camacho & Harris 2008, JASA 124:1638-1652',
  family: 'blind',
  fields,
  open: (stream, values) => framewise(stream, values, openSwipePrime(stream, values).analyse),
})

/** Its strengths of pitches, frame by frame; 0 for those that were not worth a look. */
export function openSwipePrime(stream: Stream, values: Values<typeof fields>): PitchCurve {
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
  const views: View[] = []
  const least = (periodsPerWindow * sampleRateHz) / highestHz
  for (let length = values.window; views.length === 0 || (2 * length > least && length >= 64); length >>= 1) {
    let size = 16
    while (size < 2 * length) size *= 2
    const bins = Math.min(size / 2 + 1, Math.ceil((top * size) / sampleRateHz) + 2)
    views.push({
      length,
      window: hann(length),
      spectrum: new LowPower(length, size, (bins - 1) / size),
      power: new Float64Array(bins),
      loudness: new Float64Array(hz.length),
      places: hz.map((f) => (f * size) / sampleRateHz),
    })
  }
  // What a pitch's kernel does not look at is left out: entry i of all kernels weighs loudness `points[i]` by `weights[i]`.
  const kernels = Array.from(pitches, (pitch) => kernelOf(pitch, hz))
  const starts = Int32Array.of(0, ...kernels.map(({ points }) => points.length))
  for (let p = 0; p < pitches.length; p++) starts[p + 1] += starts[p]
  const points = new Int32Array(starts[pitches.length])
  const weights = new Float64Array(points.length)
  kernels.forEach((kernel, p) => {
    points.set(kernel.points, starts[p])
    weights.set(kernel.weights, starts[p])
  })
  // How many halvings of the frame the eight periods of each pitch are.
  const places = pitches.map((pitch) => {
    const halvings = Math.log2((values.window * pitch) / (periodsPerWindow * sampleRateHz))
    return Math.max(0, Math.min(views.length - 1, halvings))
  })
  const strengths = new Float64Array(pitches.length)
  const lengths = new Float64Array(views.length)

  const strengthIn = (view: number, pitch: number): number => {
    if (!(lengths[view] > 0)) return 0
    const { loudness } = views[view]
    const end = starts[pitch + 1]
    // Two sums side by side: one would wait for itself at every point.
    let even = 0
    let odd = 0
    let i = starts[pitch]
    for (; i + 1 < end; i += 2) {
      even += weights[i] * loudness[points[i]]
      odd += weights[i + 1] * loudness[points[i + 1]]
    }
    if (i < end) even += weights[i] * loudness[points[i]]
    return (even + odd) / lengths[view]
  }
  const strengthOf = (pitch: number): number => {
    const longer = Math.floor(places[pitch])
    const share = places[pitch] - longer
    const inLonger = strengthIn(longer, pitch)
    return share > 0 ? (1 - share) * inLonger + share * strengthIn(longer + 1, pitch) : inLonger
  }
  /** Strengths of every fourth pitch, then of those between that may be the best; answers the best. */
  const strongestPitch = (): number => {
    let best = 0
    for (let p = 0; p < pitches.length; p += coarseStep) {
      strengths[p] = strengthOf(p)
      if (strengths[p] > strengths[best]) best = p
    }
    const least = strengths[best] - mostAbove
    for (let p = 0; p < pitches.length; p += coarseStep) {
      const next = p + coarseStep
      const worthwhile = strengths[p] >= least || (next < pitches.length && strengths[next] >= least)
      for (let between = p + 1; between < next && between < pitches.length; between++) {
        strengths[between] = worthwhile ? strengthOf(between) : 0
        if (strengths[between] > strengths[best]) best = between
      }
    }
    return best
  }

  return {
    hz: pitches,
    scores: strengths,
    analyse(frame, estimate) {
      // Each sum in two side by side: one would wait for itself at every sample. A window is at least 256 samples; the last of an odd
      // number of them is added at the end.
      let evenSum = 0
      let oddSum = 0
      let evenRaw = 0
      let oddRaw = 0
      for (let i = 0; i + 1 < frame.length; i += 2) {
        const even = frame[i]
        const odd = frame[i + 1]
        evenSum += even
        oddSum += odd
        evenRaw += even * even
        oddRaw += odd * odd
      }
      const last = frame.length % 2 === 1 ? frame[frame.length - 1] : 0
      const sum = evenSum + oddSum + last
      const raw = evenRaw + oddRaw + last * last
      const mean = sum / frame.length
      // The difference of two large sums is known to 1e-12 of them; only below that is it worth summing once more.
      const surely = raw - sum * mean > 1e-9 * raw
      if (!surely && !(energyAbout(mean, frame) > rounding * raw)) return
      for (let v = 0; v < views.length; v++) lengths[v] = look(views[v], frame, mean)
      const best = strongestPitch()
      if (best === 0 || best === pitches.length - 1 || !(strengths[best] > values.strength)) return
      const bend = strengths[best - 1] - 2 * strengths[best] + strengths[best + 1]
      const turn = bend < 0 ? (0.5 * (strengths[best - 1] - strengths[best + 1])) / bend : 0
      estimate.f0Hz = pitches[best] * 2 ** (Math.max(-1, Math.min(1, turn)) / perOctave)
      estimate.confidence = Math.min(1, strengths[best])
    },
  }
}

function energyAbout(mean: number, frame: Float32Array): number {
  let energy = 0
  for (let i = 0; i < frame.length; i++) energy += (frame[i] - mean) ** 2
  return energy
}

/** Fills the view's loudness; answers its length. */
function look(view: View, frame: Float32Array, mean: number): number {
  const { length, window, spectrum, power, loudness, places } = view
  const { input } = spectrum
  const start = (frame.length - length) >> 1
  for (let i = 0; i < length; i++) input[i] = (frame[start + i] - mean) * window[i]
  spectrum.into(power)
  for (let k = 0; k < power.length; k++) power[k] = Math.sqrt(power[k])
  let squares = 0
  for (let i = 0; i < places.length; i++) {
    const bin = places[i] | 0
    const below = power[bin]
    const amplitude = below + (places[i] - bin) * (power[bin + 1] - below)
    loudness[i] = Math.sqrt(amplitude)
    squares += amplitude
  }
  return Math.sqrt(squares)
}

/** Where the kernel is not 0, and what it is there. */
function kernelOf(pitch: number, hz: Float64Array): { points: Int32Array; weights: Float64Array } {
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
  const points = Int32Array.from(hz.keys()).filter((i) => values[i] !== 0)
  return { points, weights: Float64Array.from(points, (i) => values[i] / Math.sqrt(squares)) }
}
