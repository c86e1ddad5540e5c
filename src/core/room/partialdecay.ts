/**
 * How fast one partial fades: its power frame by frame, the room's taken out, a straight line through the logarithm for as
 * long as it stands over the room.
 *
 * Frames are Hann-windowed, six periods of the string long, so that the next partial lies in a null. One slope holds for the
 * whole span: of a string that fades fast first and slowly later it is the mean, weighted to where the partial is loud.
 */

/** The pick's own sound is over, and two polarisations have not parted yet. */
const fromS = 0.08
/** A tail hangs on the room more than on the string. */
const longestS = 2
/** Shorter tells no slope. */
const leastSpanS = 0.3
/** Power over the room's from which a frame counts; its logarithm is then good to 3 dB. */
const leastOver = 3
const framePeriods = 6
const shortestFrameS = 0.06
const hopsPerFrame = 4
/** A decay slower than this is not told from none within two seconds. */
const longestDecayS = 60

/** T60, s; null: too short above the room, or it does not fall. `noiseDensity`: the room's, one-sided, at the partial. */
export function partialDecayS(
  samples: Float32Array,
  sampleRateHz: number,
  onset: number,
  partial: { readonly hz: number; readonly f1Hz: number; readonly noiseDensity: number },
): number | null {
  const { hz, f1Hz, noiseDensity } = partial
  const length = Math.round(Math.max(framePeriods / f1Hz, shortestFrameS) * sampleRateHz)
  const hop = Math.max(1, Math.floor(length / hopsPerFrame))
  const first = Math.round(onset + fromS * sampleRateHz)
  const last = Math.min(samples.length, Math.round(onset + longestS * sampleRateHz))
  const turn = (2 * Math.PI * hz) / sampleRateHz
  const cosines = new Float64Array(length)
  const sines = new Float64Array(length)
  let squares = 0
  for (let i = 0; i < length; i++) {
    const weight = 0.5 - 0.5 * Math.cos((2 * Math.PI * i) / length)
    squares += weight * weight
    cosines[i] = weight * Math.cos(turn * i)
    sines[i] = weight * Math.sin(turn * i)
  }
  const noise = (noiseDensity / 2) * sampleRateHz * squares
  let [total, meanT, meanY] = [0, 0, 0]
  const frames: { t: number; y: number; weight: number }[] = []
  for (let at = first, under = 0; at + length <= last && under < hopsPerFrame; at += hop) {
    let [re, im] = [0, 0]
    for (let i = 0; i < length; i++) {
      re += samples[at + i] * cosines[i]
      im += samples[at + i] * sines[i]
    }
    const power = re * re + im * im
    if (power < leastOver * noise) {
      under++
      continue
    }
    under = 0
    const own = power - noise
    // The logarithm of a power that is r times the noise's is off by about 1 / sqrt(r / 2).
    const weight = Math.min(own / noise, mostWeight)
    const [t, y] = [(at - first) / sampleRateHz, 10 * Math.log10(own)]
    frames.push({ t, y, weight })
    total += weight
    meanT += weight * t
    meanY += weight * y
  }
  if (frames.length < 3 || (frames.at(-1)?.t ?? 0) - frames[0].t < leastSpanS) return null
  meanT /= total
  meanY /= total
  let [tt, ty] = [0, 0]
  for (const { t, y, weight } of frames) {
    tt += weight * (t - meanT) ** 2
    ty += weight * (t - meanT) * (y - meanY)
  }
  const decayS = -60 / (ty / tt)
  return decayS > 0 && decayS <= longestDecayS ? decayS : null
}

/** 20 dB over the room the line's own wobble, not noise, sets what a frame is worth. */
const mostWeight = 100
