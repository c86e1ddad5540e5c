/**
 * Whether a candidate sounds through the whole take, as one tone: its amplitude and phase, part by part.
 *
 * Short Hann-windowed parts, each brought to zero frequency. A steady tone has the same amplitude in every part and a phase
 * that runs straight; the slope of the phase refines the frequency (Tretter 1985, IEEE Trans. Inf. Theory 31:832-835). A
 * bass note, a drum that comes back each bar, a voice: some parts lack them, or their phase starts anew. A mains frequency that
 * wanders by a twentieth of a Hz within the take still passes. Two tones of like strength closer than 8 Hz beat within a
 * part, and both may be declined.
 */

export interface Steady {
  readonly hz: number
  /** Mean square of the tone, take units. */
  readonly power: number
}

/** A bass note or a drum stroke rests as long. A tone that is three fifths of 20 Hz is four times the noise in such a part. */
const shortestPartS = 0.2
/** As many parts at least. */
const fewestParts = 4
/** A part below this share of the whole's amplitude lacks the tone ... */
const leastShare = 0.5
/** ... and so many may, by chance or under a drum stroke. */
const mostLacking = 0.15
/** Sum of the parts' vectors over the sum of their lengths: 0.86 is a phase that strays by half a radian; noise leaves 0.92. */
const leastCoherence = 0.86
/** Half-width of a Hann window's main lobe, bins; tones beside it must stay out. */
const lobeBins = 2
/** Parts grow for a tone beside up to this long: no drum rests as short. */
const longestForOthersS = 0.5

/** null: not steady. `others`: frequencies of tones nearby that are no weaker than a tenth. */
export function steadiness(
  samples: Float32Array,
  rateHz: number,
  candidate: { readonly hz: number },
  others: readonly number[],
): Steady | null {
  const durationS = samples.length / rateHz
  const nearestHz = others.reduce((least, hz) => Math.min(least, Math.abs(hz - candidate.hz)), Number.POSITIVE_INFINITY)
  const apartS = Math.min(longestForOthersS, (2 * lobeBins) / nearestHz)
  const partS = Math.min(durationS / fewestParts, Math.max(shortestPartS, apartS, lobeBins / candidate.hz))
  const length = Math.floor(partS * rateHz)
  const hop = length >> 1
  const count = Math.floor((samples.length - length) / hop) + 1
  const { re, im } = demodulated(samples, rateHz, candidate.hz, length, hop, count)
  // The phase of a part against the one before, and then the straight line through all.
  let slope = 0
  let phase = 0
  const phases = Float64Array.from({ length: count }, (_, m) => {
    const own = Math.atan2(im[m], re[m])
    phase += m === 0 ? own : wrapped(own - phase)
    return phase
  })
  const sizes = Float64Array.from(re, (value, m) => Math.hypot(value, im[m]))
  const middle = (count - 1) / 2
  let [total, moment, spread] = [0, 0, 0]
  for (let m = 0; m < count; m++) {
    total += phases[m] / count
    moment += (m - middle) * phases[m]
    spread += (m - middle) ** 2
  }
  slope = moment / spread
  let [sumRe, sumIm, sum] = [0, 0, 0]
  for (let m = 0; m < count; m++) {
    const straight = total + slope * (m - middle)
    sumRe += re[m] * Math.cos(straight) + im[m] * Math.sin(straight)
    sumIm += im[m] * Math.cos(straight) - re[m] * Math.sin(straight)
    sum += sizes[m]
  }
  const coherent = Math.hypot(sumRe, sumIm)
  if (!(coherent >= leastCoherence * sum)) return null
  const size = coherent / count
  const lacking = sizes.reduce((n, own) => n + Number(own < leastShare * size), 0)
  if (lacking > mostLacking * count) return null
  // A sine of amplitude 1 gives half the sum of the window, a quarter of its length.
  return { hz: candidate.hz + (slope * rateHz) / (2 * Math.PI * hop), power: (size / (length / 4)) ** 2 / 2 }
}

const wrapped = (phase: number): number => phase - 2 * Math.PI * Math.round(phase / (2 * Math.PI))

/** Windowed parts at `hz`, their phases counted from one common moment. */
function demodulated(samples: Float32Array, rateHz: number, hz: number, length: number, hop: number, count: number) {
  const turn = (2 * Math.PI * hz) / rateHz
  const re = new Float64Array(count)
  const im = new Float64Array(count)
  const cosines = new Float64Array(length)
  const sines = new Float64Array(length)
  for (let i = 0; i < length; i++) {
    const weight = 0.5 - 0.5 * Math.cos((2 * Math.PI * i) / length)
    cosines[i] = weight * Math.cos(turn * i)
    sines[i] = weight * Math.sin(turn * i)
  }
  for (let m = 0; m < count; m++) {
    let [a, b] = [0, 0]
    for (let i = 0, at = m * hop; i < length; i++, at++) {
      a += samples[at] * cosines[i]
      b -= samples[at] * sines[i]
    }
    const carrier = turn * m * hop
    re[m] = a * Math.cos(carrier) + b * Math.sin(carrier)
    im[m] = b * Math.cos(carrier) - a * Math.sin(carrier)
  }
  return { re, im }
}
