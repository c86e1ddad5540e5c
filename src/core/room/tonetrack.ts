/**
 * A steady tone followed through a recording: where it is, its complex amplitude frame by frame, how strong the room is right
 * beside it, and how loud the room is away from it. What the checks of an input stand on (steadytone.ts, clockrate.ts).
 *
 * The tone is the bin that stands highest over its neighbours in the mean spectrum; its frequency is then corrected by the
 * phase from frame to frame. Frames are a quarter of a second, Hann, half overlapped: neighbours share a sixth of their noise
 * (correlation of the Hann window with itself half a length on; Harris 1978, Proc. IEEE 66:51-83, Table I). The room
 * beside the tone is the median of the bins 12 to 40 Hz off, over ln 2 (the median of an exponential variable). Not valid for
 * a tone that glides by more than 2 Hz, or beside a second tone as strong.
 */
import { RealFourier } from '../maths/fourier.ts'
import { median } from '../maths/statistics.ts'
import { hann } from '../maths/windows.ts'
import { Problem } from '../problem.ts'
import { checkRate } from './noisetake.ts'

export interface ToneTrack {
  readonly hz: number
  /** Of the frames that follow; frame i speaks of the middle (i + 1) hopS. */
  readonly hopS: number
  /** Amplitude in take units (full scale 1) and phase against `hz` counted from the first sample. */
  readonly re: Float64Array
  readonly im: Float64Array
  /** What the room adds to |amplitude|^2 in the mean. */
  readonly noise: Float64Array
  /** Of the whole room but the tone: mean over frequency of the decibels of its power; its zero means nothing. */
  readonly floorDb: Float64Array
  /** Frames in which the tone surely sounds, whole: from the first to one past the last. Gaps may lie between. */
  readonly from: number
  readonly to: number
  /** Samples at full scale were heard. */
  readonly overloaded: boolean
}

const frameS = 0.25
/** A tone stands 10 dB over the room beside it, or the level of a whole second is not known to 2 dB. */
const leastOver = 10
/** In a row: a knock is shorter. */
const leastRow = 3
/** A frame half in the tone is of no use, and the source may need a moment: a quarter of a second at either end. */
const edgeFrames = 2
/** Below lies the mains' hum, and small loudspeakers are silent; above, rooms and microphones are uneven. */
export const toneRangeHz = { lowest: 150, highest: 4000 } as const
/** The main lobe is 8 Hz to either side, and the first lobes beside it are no noise. */
const sideFromHz = 12
const sideToHz = 40
/** With a frequency given it is looked for within half a semitone. */
const nearRatio = 2 ** (1 / 24)
/** Bins of the floor keep this far from the tone and from its overtones; a Hann window is then 100 dB and 80 dB down. */
const clearOfToneHz = 150
const clearOfOvertoneHz = 60
const floorHz = { from: 100, to: 8000 } as const
/** Of the tone's power; under it the tone's own side lobes would pass for the room. */
const leakage = 1e-9
/** The largest 16-bit sample, as the level meter has it. */
const fullScale = 32_767 / 32_768
const shortestS = 2

/**
 * @param nearHz where it must lie; null: wherever it is.
 * @returns null: no tone stands over this room.
 * @throws Problem for a rate outside 8 to 192 kHz, a recording under 2 s, or a frequency that is not looked for.
 */
export function toneTrack(samples: Float32Array, sampleRateHz: number, nearHz: number | null): ToneTrack | null {
  checkRate(sampleRateHz)
  const durationS = samples.length / sampleRateHz
  if (durationS < shortestS) throw new Problem(`${durationS.toFixed(2)} s is below ${shortestS} s`, 'samples')
  const topHz = Math.min(toneRangeHz.highest, 0.4 * sampleRateHz)
  if (nearHz !== null && !(nearHz >= toneRangeHz.lowest && nearHz <= topHz)) {
    throw new Problem(`${nearHz} is not between ${toneRangeHz.lowest} and ${topHz} Hz`, 'toneHz')
  }
  const spectra = frameSpectra(samples, sampleRateHz)
  const bin = strongest(spectra, nearHz, topHz)
  if (bin === null) return null
  const { window, hop, powers, binHz } = spectra
  const hopS = hop / sampleRateHz
  const gain = 2 / window.reduce((sum, w) => sum + w, 0)
  let hz = bin * binHz
  const noise = Float64Array.from(powers, (power) => gain * gain * besideTone(power, bin, binHz))
  let { re, im } = project(samples, sampleRateHz, hz, window, hop, gain)
  // Twice: the first correction may be of a bin's half width.
  for (let round = 0; round < 2; round++) {
    hz += turnedHz(re, im, noise, hopS)
    ;({ re, im } = project(samples, sampleRateHz, hz, window, hop, gain))
  }
  const sounds = Array.from(noise, (own, i) => re[i] ** 2 + im[i] ** 2 > leastOver * own)
  const from = firstRow(sounds) + edgeFrames
  const to = sounds.length - firstRow(sounds.toReversed()) - edgeFrames
  if (!(to - from >= leastRow)) return null
  const loud = median(Float64Array.from({ length: to - from }, (_, i) => re[from + i] ** 2 + im[from + i] ** 2))
  const least = (leakage * loud) / (gain * gain)
  const bins = floorBins(hz, binHz, sampleRateHz)
  const floorDb = Float64Array.from(powers, (power) => {
    let sum = 0
    for (const k of bins) sum += Math.log10(Math.max(power[k], least))
    return (10 * sum) / bins.length
  })
  return { hz, hopS, re, im, noise, floorDb, from, to, overloaded: samples.some((one) => Math.abs(one) >= fullScale) }
}

function frameSpectra(samples: Float32Array, sampleRateHz: number) {
  const hop = Math.round((frameS / 2) * sampleRateHz)
  const length = 2 * hop
  let size = 16
  while (size < length) size *= 2
  const window = hann(length)
  const frame = new Float64Array(size)
  const fourier = new RealFourier(size)
  const frames = Math.floor(samples.length / hop) - 1
  const powers = Array.from({ length: frames }, (_, at) => {
    for (let i = 0; i < length; i++) {
      const sample = samples[at * hop + i]
      frame[i] = window[i] * (Number.isFinite(sample) ? sample : 0)
    }
    const power = new Float64Array(size / 2 + 1)
    fourier.power(frame, power)
    return power
  })
  return { window, hop, powers, binHz: sampleRateHz / size }
}

/** The bin that stands highest over those beside it, ten times at least; null: none does. */
function strongest(
  { powers, binHz }: ReturnType<typeof frameSpectra>,
  nearHz: number | null,
  topHz: number,
): number | null {
  const whole = new Float64Array(powers[0]?.length ?? 0)
  for (const power of powers) for (let k = 0; k < whole.length; k++) whole[k] += power[k]
  const first = Math.ceil((nearHz === null ? toneRangeHz.lowest : nearHz / nearRatio) / binHz)
  const last = Math.floor((nearHz === null ? topHz : nearHz * nearRatio) / binHz)
  let [best, most] = [-1, 0]
  for (let k = first; k <= last; k++) {
    const over = whole[k] / besideTone(whole, k, binHz)
    if (over > most) [best, most] = [k, over]
  }
  // A faint tone in one second of the recording is as good as none: the frames are asked again.
  return most > 2 ? best : null
}

function besideTone(power: Float64Array, bin: number, binHz: number): number {
  const [near, far] = [Math.ceil(sideFromHz / binHz), Math.floor(sideToHz / binHz)]
  const beside = [
    ...power.subarray(Math.max(0, bin - far), bin - near + 1),
    ...power.subarray(bin + near, bin + far + 1),
  ]
  return Math.max(Number.MIN_VALUE, median(beside) / Math.LN2)
}

function project(
  samples: Float32Array,
  sampleRateHz: number,
  hz: number,
  window: Float64Array,
  hop: number,
  gain: number,
) {
  const frames = Math.floor(samples.length / hop) - 1
  const [re, im] = [new Float64Array(frames), new Float64Array(frames)]
  const step = (2 * Math.PI * hz) / sampleRateHz
  const [turnRe, turnIm] = [Math.cos(step), -Math.sin(step)]
  for (let at = 0; at < frames; at++) {
    const start = at * hop
    // Whole turns are left out first: the sine of a large angle is coarse.
    const turns = (hz * start) / sampleRateHz
    let [c, s] = [Math.cos(2 * Math.PI * (turns % 1)), -Math.sin(2 * Math.PI * (turns % 1))]
    for (let i = 0; i < window.length; i++) {
      const sample = samples[start + i]
      const value = Number.isFinite(sample) ? gain * window[i] * sample : 0
      re[at] += value * c
      im[at] += value * s
      const next = c * turnRe - s * turnIm
      s = c * turnIm + s * turnRe
      c = next
    }
  }
  return { re, im }
}

/** How much higher the tone is than it was taken for, from the mean turn between neighbouring frames that hold it. */
function turnedHz(re: Float64Array, im: Float64Array, noise: Float64Array, hopS: number): number {
  let [sumRe, sumIm] = [0, 0]
  for (let i = 1; i < re.length; i++) {
    if (re[i] ** 2 + im[i] ** 2 < leastOver * noise[i]) continue
    sumRe += re[i] * re[i - 1] + im[i] * im[i - 1]
    sumIm += im[i] * re[i - 1] - re[i] * im[i - 1]
  }
  return Math.atan2(sumIm, sumRe) / (2 * Math.PI * hopS)
}

/** Where the first row of `true` begins; the length when there is none. */
function firstRow(sounds: readonly boolean[]): number {
  const at = sounds.findIndex((_, i) => i + leastRow <= sounds.length && sounds.slice(i, i + leastRow).every(Boolean))
  return at === -1 ? sounds.length : at
}

function floorBins(hz: number, binHz: number, sampleRateHz: number): Int32Array {
  const bins: number[] = []
  const last = Math.floor(Math.min(floorHz.to, 0.45 * sampleRateHz) / binHz)
  for (let k = Math.ceil(floorHz.from / binHz); k <= last; k++) {
    const overtone = Math.max(1, Math.round((k * binHz) / hz))
    const clearHz = overtone === 1 ? clearOfToneHz : clearOfOvertoneHz
    if (Math.abs(k * binHz - overtone * hz) >= clearHz) bins.push(k)
  }
  return Int32Array.from(bins)
}
