/**
 * Where, within 150 c of the note in hand, most partials stand out of the noise: robust, and no finer than it must be.
 *
 * The whitened sum over partials of combsearch.ts on its own: log(1 + power / noise) at every partial of every law on a grid,
 * so that a loud line counts as one partial and not as all of them; then the sum's own top between grid points. A third of a
 * second is heard by default: what it loses in speed it gains in noise. Where the newest part of it says surely that the pitch
 * has moved, a reading is made of that part alone: a glide would be read as it was a sixth of a second ago. Declines when the
 * best comb of partials says little more than the best comb of the gaps between them (combcontrast.ts). Source: own; the logarithm
 * as in the robust statistics of unknown amplitudes. A reading is good to a few cents, stiffness included; partial-fit and
 * joint-fit are for the rest.
 */
import { centsBetween } from '../maths/units.ts'
import { type AimedFrames, type AnalyseAimed, aimedFields, aimedwise } from './aimedwise.ts'
import { method, type Reading, type Stream } from './method.ts'
import { WhitenedLook } from './whitenedlook.ts'

const fields = {
  ...aimedFields,
  window: { ...aimedFields.window, default: 16384 },
  partials: { ...aimedFields.partials, default: 10 },
} as const

/** Ten partials of a guitar's strings, a semitone up as well: what is read must not hang on the target; above that fewer. */
const usefulHz = 4000

export const whitenedSum = method({
  id: 'whitened-sum',
  title: 'Whitened sum',
  source: 'own: logarithm of power over noise, summed over the partials of a stiff string',
  family: 'aimed',
  fields,
  open: (stream, values) => aimedwise(stream, values, usefulHz, (frames) => opened(stream, frames)),
})

function opened({ room }: Stream, frames: AimedFrames): AnalyseAimed {
  const whole = new WhitenedLook(frames, frames.length, room)
  const newest = newestOf(frames, room)
  const least = room === null ? leastContrastUnlearnt : leastContrast
  let read = whole
  const analyse = (frame: Float64Array, reading: Reading): void => {
    read = whole
    const contrast = whole.contrastIn(frame)
    if (!(contrast > least)) return
    const f0Hz = whole.f0Hz()
    if (Number.isNaN(f0Hz)) return
    reading.f0Hz = f0Hz
    reading.confidence = 1 - least / contrast
    if (newest === null || !(newest.contrastIn(frame) > surelyHeard)) return
    const newestHz = newest.f0Hz()
    if (Number.isNaN(newestHz)) return
    const spreadCents = newest.fit(newestHz)
    const movedCents = Math.abs(centsBetween(newest.fittedHz, f0Hz))
    if (!(movedCents > Math.max(leastMovedCents, surelyMoved * spreadCents) && movedCents < mostMovedCents)) return
    read = newest
    reading.f0Hz = newest.fittedHz
    const samples = (reading.toSample - reading.fromSample) / frame.length
    reading.fromSample += Math.round((frame.length - newest.length) * samples)
    reading.atSample = (reading.fromSample + reading.toSample - 1) / 2
  }
  return Object.assign(analyse, { weigh: () => read.weigh() })
}

/** A look at the newest quarter of the frame, or half; null where even that holds too few periods. */
function newestOf(frames: AimedFrames, room: Stream['room']): WhitenedLook | null {
  const least = (fewestPeriods * frames.rateHz) / frames.targetHz
  for (const part of [4, 2]) {
    const length = 2 * Math.floor(frames.length / (2 * part)) + 1
    if (length >= least) return new WhitenedLook(frames, length, room)
  }
  return null
}

/** A Hann line is four bins wide: with eight periods, half of what lies between two partials is gap. */
const fewestPeriods = 8

/**
 * Nepers a partial by which a string's comb must beat the comb of gaps. Measured over takes without a string, targets 82 to
 * 330 Hz, room learnt: 99 % of windows stay under 0.4 in white and pink noise, 0.7 in a crowd and in babble, 1.1 among whistles;
 * those that do not agree too badly for a claim (tests/bench/robust.md).
 */
const leastContrast = 0.8

/** The same where the room is not known: voices and whistles stand out of their own spectrum by up to 1.5. */
const leastContrastUnlearnt = 1.5

/** Above all that noise does in 99 % of windows, room learnt, stage included (1.3), with as much to spare. */
const surelyHeard = 3

/** What a reading is good to: less of a lag hurts nobody. */
const leastMovedCents = 1
/** The newest part is believed this many of its standard errors away: at 6, one glide of 45 is overheard. */
const surelyMoved = 4
/** Farther than a gross error it hears something else. */
const mostMovedCents = 50
