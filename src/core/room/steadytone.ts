/**
 * Is the input worked on behind the page's back? A steady tone was played into it: four things about it and about the room
 * around it, each with its interval and the limit it is held against.
 *
 * - `change`: level of the last three seconds over the first half second. Noise suppressors take a steady tone for noise and
 *   fade it within seconds; automatic gain brings it up or down.
 * - `wander`: rms of the level about a straight line, beyond what the room's noise explains: gain pumped by other sounds.
 * - `gaps`: stretches in which the tone is under half of what it is before and after: a gate.
 * - `floorStep`: the room away from the tone while it sounds over the room before: up, a gate or suppressor had held the
 *   pauses down; down, automatic gain makes way for the tone, or an echo canceller works.
 *
 * `beyond` is said when the whole 95 % interval lies over the limit, `within` when it lies under, else `open`. Not seen: what
 * acts within the first 0.4 s of the tone and leaves the room alone, and an equaliser, which is steady. A source that
 * fades by itself looks like an input that fades it.
 */
import { mean, median, quantile } from '../maths/statistics.ts'
import { powerInterval } from './chisquare.ts'
import { standardError, studentQuantile } from './meaninterval.ts'
import { type ToneTrack, toneTrack } from './tonetrack.ts'

export interface Measured {
  readonly value: number
  /** 95 %. */
  readonly low: number
  readonly high: number
  readonly limit: number
  /** Frames (blocks for the floor) it rests on. */
  readonly n: number
  readonly standing: 'within' | 'beyond' | 'open'
}

export interface Gaps {
  readonly count: number
  readonly totalS: number
  /** `open`: the tone is too faint for a gap to be told from noise. */
  readonly standing: Measured['standing']
}

export interface SteadyToneFigures {
  readonly hz: number
  /** Of the tone in the middle of its time, dB of a full-scale sine. */
  readonly levelDbfs: number
  /** Over the room within 6 Hz (the frame's noise bandwidth), dB. */
  readonly overRoomDb: number
  /** When the tone sounded, seconds into the recording. */
  readonly fromS: number
  readonly toS: number
  /** null: its beginning was not recorded, or too little of the room before it. */
  readonly floorStepDb: Measured | null
  readonly changeDb: Measured
  readonly wanderDb: Measured
  /** The level both rose and fell by more than `changeLimitDb` between half seconds: to and fro, not one way. */
  readonly bothWays: boolean
  readonly gaps: Gaps
  /** Room away from the tone, over the same two stretches as `changeDb`: fell or rose it along? */
  readonly floorDriftDb: number
  /** The tone was gone before the recording ended. */
  readonly ended: boolean
  readonly overloaded: boolean
  /** `untold`: something is open, or the tone was not there long enough. Worst first: altered, untold, plain. */
  readonly verdict: 'plain' | 'altered' | 'untold'
}

/** Ratios over the room are promised to 1 dB: a level that moves by more while a string rings spoils them. */
export const changeLimitDb = 1
/** 95 % of the moments of a level that wanders by this rms lie within that 1 dB. */
export const wanderLimitDb = 0.5
/** The source's own hiss and hum come with its tone: as strong as the room, they raise the floor by this much. */
export const floorLimitDb = 3
/** Suppressors and automatic gain have settled by then (common practice, no source). */
export const leastToneS = 10
/** The tone's own frames, from which what is seen late is counted. */
const firstS = 0.5
const lateS = 3
/** Half the amplitude: no room moves a tone that stands as clear as `leastGapSigmas` by so much. */
const gapShare = 0.5
/** Of the noise in one frame, to the half: 3 in a million frames, of which a test has 140. */
const leastGapSigmas = 4.5
const gapReachS = 2
/** Variance of the mean of n half-overlapped frames over that of n apart: 1 + 2 / 6. */
const overlap = 4 / 3
/** The same of squares: 1 + 2 / 36. */
const overlapOfSquares = 19 / 18
const blockFrames = 4
/** Fewer blocks give no interval worth telling. */
const fewestBlocks = 4
const z95 = 1.959964
const dbPerNeper = 20 / Math.LN10
/** Of the end of a recording: frames that an unbroken tone may lack. */
const endFrames = 4

/**
 * @param sourceGoesOn the page itself played the tone and knows that it did not stop: an end is then the input's doing.
 * @returns null: no tone stands over the room.
 * @throws Problem as toneTrack does.
 */
export function steadyTone(
  samples: Float32Array,
  sampleRateHz: number,
  nearHz: number | null,
  sourceGoesOn: boolean,
): SteadyToneFigures | null {
  const track = toneTrack(samples, sampleRateHz, nearHz)
  return track === null ? null : steadyToneFigures(track, sourceGoesOn)
}

export function steadyToneFigures(track: ToneTrack, sourceGoesOn: boolean): SteadyToneFigures {
  const { hz, hopS, from, to, noise, floorDb, overloaded } = track
  const levels = amplitudes(track)
  const noises = noise.slice(from, to)
  const usual = median(levels)
  const changeDb = changeOf(levels, noises, hopS)
  const wanderDb = wanderOf(levels, noises)
  const gaps = gapsOf(levels, noises, hopS)
  const floorStepDb = floorStepOf(floorDb, from, to)
  const late = Math.min(Math.round(lateS / hopS), to - from)
  const ended = to < floorDb.length - endFrames
  const standings = [changeDb, wanderDb, gaps, floorStepDb].map((one) => one?.standing ?? 'within')
  const altered = standings.includes('beyond') || (ended && sourceGoesOn)
  const untold = standings.includes('open') || (to - from) * hopS < leastToneS
  return {
    hz,
    levelDbfs: 20 * Math.log10(usual),
    overRoomDb: 10 * Math.log10(usual ** 2 / median(noises)),
    fromS: from * hopS,
    toS: (to + 1) * hopS,
    floorStepDb,
    changeDb,
    wanderDb,
    bothWays: goesBothWays(levels, noises),
    gaps,
    floorDriftDb: mean(floorDb.slice(to - late, to)) - mean(floorDb.slice(from, from + Math.round(firstS / hopS))),
    ended,
    overloaded,
    verdict: altered ? 'altered' : untold ? 'untold' : 'plain',
  }
}

/** Without what the room adds: half of it lies along the tone and averages out, half across and does not. */
const amplitudes = ({ re, im, noise, from, to }: ToneTrack): Float64Array =>
  Float64Array.from({ length: to - from }, (_, i) => {
    const at = from + i
    return Math.sqrt(Math.max(0, re[at] ** 2 + im[at] ** 2 - noise[at] / 2))
  })

function changeOf(levels: Float64Array, noises: Float64Array, hopS: number): Measured {
  const first = Math.round(firstS / hopS)
  // The two stretches never share a frame.
  const last = Math.max(1, Math.min(Math.round(lateS / hopS), levels.length - first))
  const [before, after] = [mean(levels.slice(0, first)), mean(levels.slice(-last))]
  const variance = (span: Float64Array, level: number): number =>
    (overlap * mean(span)) / (2 * span.length * level * level)
  const value = 20 * Math.log10(after / before)
  const sd = dbPerNeper * Math.sqrt(variance(noises.slice(0, first), before) + variance(noises.slice(-last), after))
  return judged(value, value - z95 * sd, value + z95 * sd, changeLimitDb, levels.length)
}

/** About a straight line: a fade is told as a change, not as a wander. Curved fades show here too. */
function wanderOf(levels: Float64Array, noises: Float64Array): Measured {
  const n = levels.length
  const middle = (n - 1) / 2
  const level = mean(levels)
  let [slope, spread] = [0, 0]
  for (let i = 0; i < n; i++) {
    slope += (i - middle) * levels[i]
    spread += (i - middle) ** 2
  }
  slope /= spread
  let squares = 0
  for (let i = 0; i < n; i++) squares += (levels[i] - level - slope * (i - middle)) ** 2
  const freedom = n - 2
  const seen = squares / freedom
  const own = mean(noises) / 2
  const interval = powerInterval(freedom / overlapOfSquares)
  const decibels = (share: number): number => (dbPerNeper * Math.sqrt(Math.max(0, share * seen - own))) / level
  return judged(decibels(1), decibels(interval.low), decibels(interval.high), wanderLimitDb, n)
}

/** Largest rise from anything earlier and largest fall, each less what noise makes of two half seconds at 4.5 sigma. */
function goesBothWays(levels: Float64Array, noises: Float64Array): boolean {
  const halves = blocks(levels)
  const spare = dbPerNeper * leastGapSigmas * Math.sqrt((overlap * mean(noises)) / blockFrames) * (1 / mean(levels))
  let [lowest, highest, rise, fall] = [Number.POSITIVE_INFINITY, 0, 0, 0]
  for (const level of halves) {
    lowest = Math.min(lowest, level)
    highest = Math.max(highest, level)
    rise = Math.max(rise, 20 * Math.log10(level / lowest))
    fall = Math.max(fall, 20 * Math.log10(highest / level))
  }
  return Math.min(rise, fall) > changeLimitDb + spare
}

function gapsOf(levels: Float64Array, noises: Float64Array, hopS: number): Gaps {
  const reach = Math.round(gapReachS / hopS)
  const usualNoise = median(noises)
  let [count, frames, inside] = [0, 0, false]
  for (let i = 0; i < levels.length; i++) {
    const [before, after] = [levels.slice(Math.max(0, i - reach), i), levels.slice(i + 1, i + 1 + reach)]
    // Three quarters: gaps that come often leave it alone.
    const beside = Math.min(quantile(before, 0.75), quantile(after, 0.75))
    const sigma = Math.sqrt(Math.max(noises[i], usualNoise) / 2)
    const gap = levels[i] < gapShare * beside && (1 - gapShare) * beside > leastGapSigmas * sigma
    if (gap) frames++
    if (gap && !inside) count++
    inside = gap
  }
  const told = (1 - gapShare) * median(levels) > leastGapSigmas * Math.sqrt(usualNoise / 2)
  return { count, totalS: frames * hopS, standing: count > 0 ? 'beyond' : told ? 'within' : 'open' }
}

function floorStepOf(floorDb: Float64Array, from: number, to: number): Measured | null {
  // The frames between are half in the tone.
  const before = blocks(floorDb.slice(0, Math.max(0, from - 2 * blockFrames)))
  const during = blocks(floorDb.slice(from, to))
  if (before.length < fewestBlocks || during.length < fewestBlocks) return null
  const value = mean(during) - mean(before)
  const sd = Math.hypot(standardError(before), standardError(during))
  const reach = studentQuantile(Math.min(before.length, during.length) - 1) * sd
  return judged(value, value - reach, value + reach, floorLimitDb, before.length + during.length)
}

const blocks = (values: Float64Array): number[] =>
  Array.from({ length: Math.floor(values.length / blockFrames) }, (_, i) =>
    mean(values.slice(i * blockFrames, (i + 1) * blockFrames)),
  )

function judged(value: number, low: number, high: number, limit: number, n: number): Measured {
  const standing = low > limit || high < -limit ? 'beyond' : low >= -limit && high <= limit ? 'within' : 'open'
  return { value, low, high, limit, n, standing }
}
