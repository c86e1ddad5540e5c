/**
 * How fast this input's clock runs, from a tone whose frequency is known by other means.
 *
 * A converter that is p parts in a million fast spreads the tone over more samples than its rate says, and everything it hears
 * reads flat by p: p = known / read - 1. The frequency is the slope of a straight line through the phases of quarter-second
 * frames, weighted by what the room leaves of each (for white noise that is the least there can be but for the window: Rife &
 * Boorstyn 1974, IEEE Trans. Inf. Theory 20:591-598). The interval is that of the line, widened by what the phases scatter
 * beyond it (Birge 1932, Phys. Rev. 40:207-227), or, where four pieces of the recording differ by more than that, Student's
 * over the four: a source or a microphone that moves. The known frequency's own uncertainty is added as it stands, for a
 * stated accuracy is a bound. Nothing is corrected by it: it is a figure to be taken into account.
 */
import { mean } from '../maths/statistics.ts'
import { centsBetween } from '../maths/units.ts'
import { Problem } from '../problem.ts'
import { standardError, studentQuantile } from './meaninterval.ts'
import { type ToneTrack, toneTrack } from './tonetrack.ts'

export interface ClockFigures {
  /** As read with the nominal sample rate. */
  readonly readHz: number
  readonly knownHz: number
  /** What the source is stated to be good to, either way. */
  readonly knownPpm: number
  /** Positive: the clock is fast and readings are flat. 95 %, the known frequency's bound included. */
  readonly ppm: number
  readonly lowPpm: number
  readonly highPpm: number
  /** Of the half width, what the recording itself contributes. */
  readonly ownPpm: number
  /** What every reading of this input is off by, cents: negative for a fast clock. */
  readonly readsCents: number
  readonly lowCents: number
  readonly highCents: number
  readonly frames: number
  readonly spanS: number
  /** `moved`: the tone's frequency was not the same throughout. `beyond`: no clock is off by so much. */
  readonly standing: 'told' | 'moved' | 'beyond'
}

/** Sources state from a thousandth of a part (a radio clock) to a thousand parts (a cheap loudspeaker box); own limits. */
export const mostKnownPpm = 1000
/** IEC 60958 allows normal-accuracy digital audio 1000 ppm (from memory); no converter is worse. */
const mostClockPpm = 1000
const segments = 4
/** 95 % of a chi-square variable of three degrees of freedom (any table). */
const chiSquare3 = 7.815
const z95 = 1.959964
/** Neighbouring frames share a sixth of their noise. */
const overlap = 4 / 3
/** A second in all: one frame's noise is known to a third only, and weights that scatter promise more than they hold. */
const aroundFrames = 4
/** Two frames a segment would have no slope worth a scatter. */
const fewestFrames = 32

/**
 * @param knownHz 150 to 4000 Hz. @param knownPpm 0 to 1000.
 * @returns null: no tone within half a semitone of it, or for less than four seconds.
 * @throws Problem for figures outside those limits, and as toneTrack does.
 */
export function clockRate(
  samples: Float32Array,
  sampleRateHz: number,
  knownHz: number,
  knownPpm: number,
): ClockFigures | null {
  const track = toneTrack(samples, sampleRateHz, knownHz)
  return track === null ? null : clockFigures(track, knownHz, knownPpm)
}

export function clockFigures(track: ToneTrack, knownHz: number, knownPpm: number): ClockFigures | null {
  if (!(knownPpm >= 0 && knownPpm <= mostKnownPpm)) {
    throw new Problem(`${knownPpm} is not between 0 and ${mostKnownPpm} ppm`, 'knownPpm')
  }
  const { hz, hopS, from, to } = track
  if (to - from < fewestFrames) return null
  const phases = unwrapped(track)
  const line = lineThrough(phases)
  const readHz = hz + line.slope / (2 * Math.PI)
  const size = Math.ceil(phases.length / segments)
  const pieces = Array.from({ length: segments }, (_, i) => lineThrough(phases.slice(i * size, (i + 1) * size)))
  const slopes = pieces.map(({ slope }) => slope)
  const middle = mean(slopes)
  const chiSquare = pieces.reduce((sum, { slope, sd }) => sum + ((slope - middle) / sd) ** 2, 0)
  const moved = chiSquare > chiSquare3
  const lineReach = z95 * line.sd
  const reach = moved ? Math.max(lineReach, studentQuantile(segments - 1) * standardError(slopes)) : lineReach
  const ownPpm = (1e6 * reach) / (2 * Math.PI * readHz)
  const ppm = 1e6 * (knownHz / readHz - 1)
  const half = ownPpm + knownPpm
  const cents = (fast: number): number => -1200 * Math.log2(1 + fast / 1e6)
  return {
    readHz,
    knownHz,
    knownPpm,
    ppm,
    lowPpm: ppm - half,
    highPpm: ppm + half,
    ownPpm,
    readsCents: centsBetween(readHz, knownHz),
    lowCents: cents(ppm + half),
    highCents: cents(ppm - half),
    frames: phases.length,
    spanS: (to - from) * hopS,
    standing: Math.abs(ppm) - half > mostClockPpm ? 'beyond' : moved ? 'moved' : 'told',
  }
}

interface Phase {
  readonly atS: number
  readonly rad: number
  readonly weight: number
}

/** Frames in which the tone stands 10 dB over the room; a phase of the others says nothing. */
function unwrapped({ re, im, noise, from, to, hopS }: ToneTrack): Phase[] {
  const phases: Phase[] = []
  let last = 0
  for (let i = from; i < to; i++) {
    const power = re[i] ** 2 + im[i] ** 2
    const around = mean(noise.slice(Math.max(from, i - aroundFrames), Math.min(to, i + aroundFrames + 1)))
    if (power < 10 * around) continue
    const turned = Math.atan2(im[i], re[i])
    const rad = turned - 2 * Math.PI * Math.round((turned - last) / (2 * Math.PI))
    last = rad
    phases.push({ atS: i * hopS, rad, weight: (2 * power) / around })
  }
  return phases
}

/** Weighted least squares; `sd` is the slope's, never under what the room's noise alone would give. */
function lineThrough(phases: readonly Phase[]): { readonly slope: number; readonly sd: number } {
  let [all, times, rads] = [0, 0, 0]
  for (const { atS, rad, weight } of phases) {
    all += weight
    times += weight * atS
    rads += weight * rad
  }
  const [middleS, middleRad] = [times / all, rads / all]
  let [spread, across] = [0, 0]
  for (const { atS, rad, weight } of phases) {
    spread += weight * (atS - middleS) ** 2
    across += weight * (atS - middleS) * (rad - middleRad)
  }
  const slope = across / spread
  let chiSquare = 0
  for (const { atS, rad, weight } of phases) chiSquare += weight * (rad - middleRad - slope * (atS - middleS)) ** 2
  const birge = Math.max(1, chiSquare / (phases.length - 2))
  return { slope, sd: Math.sqrt((overlap * birge) / spread) }
}
