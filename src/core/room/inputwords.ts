/** What the checks of an input come to, in words: the verdict first, then its numbers with their limits, then what to do. */
import type { ClockFigures } from './clockrate.ts'
import { leastToneS, type Measured, type SteadyToneFigures } from './steadytone.ts'

export interface CheckWords {
  readonly sentence: string
  /** Most important first. */
  readonly reasons: readonly string[]
}

const signed = (value: number, digits: number): string =>
  `${value < 0 ? '−' : '+'}${Math.abs(value).toFixed(digits)}`.replace(/^[−+](0(?:\.0*)?)$/, '$1')

const size = ({ value, low, high }: Measured): string => {
  const [from, to] = [Math.abs(low), Math.abs(high)].sort((a, b) => a - b)
  return `${Math.abs(value).toFixed(1)} dB (${from?.toFixed(1)} to ${to?.toFixed(1)})`
}

/** "−12.3 dB (−12.5 to −12.1)". */
export const measuredWords = ({ value, low, high }: Measured): string =>
  `${signed(value, 1)} dB (${signed(low, 1)} to ${signed(high, 1)})`

/** Of the change, so much in the room as well: then both were turned, not the tone alone. */
const togetherShare = 0.5

/** @param sourceGoesOn the page itself played the tone. */
export function steadyToneWords(figures: SteadyToneFigures, sourceGoesOn: boolean): CheckWords {
  const found = foundWords(figures, sourceGoesOn)
  const open = openWords(figures)
  const notes = noteWords(figures, sourceGoesOn)
  if (figures.verdict === 'altered') {
    return {
      sentence: found[0] ?? '',
      reasons: [
        ...found.slice(1),
        'Look for it in the system’s sound settings and on the interface itself, turn it off and test again. What a room does to a pickup cannot be told through it.',
        ...notes,
      ],
    }
  }
  if (figures.verdict === 'untold') {
    return { sentence: `Not told yet: ${open[0] ?? ''}.`, reasons: [...open.slice(1).map(capital), ...notes] }
  }
  const { changeDb, wanderDb } = figures
  return {
    sentence: `Nothing was done to the tone: its level changed by ${measuredWords(changeDb)}, less than ${changeDb.limit} dB either way.`,
    reasons: [
      `It wandered by ${wanderDb.value.toFixed(1)} dB rms (${wanderDb.low.toFixed(1)} to ${wanderDb.high.toFixed(1)}), under ${wanderDb.limit} dB, without a gap.`,
      ...notes,
    ],
  }
}

function foundWords(figures: SteadyToneFigures, sourceGoesOn: boolean): string[] {
  const { changeDb, wanderDb, bothWays, gaps, floorStepDb, floorDriftDb, ended, fromS, toS } = figures
  const words: string[] = []
  const heardS = `${(toS - fromS).toFixed(0)} s`
  const gated = gaps.standing === 'beyond'
  const pumped = wanderDb.standing === 'beyond' && bothWays && !gated
  // Where the level goes to and fro, its first half second is as good as any.
  const changed = changeDb.standing === 'beyond' && !pumped
  if (ended && sourceGoesOn) {
    words.push(
      `Lost: the tone was gone after ${heardS} although it went on. Echo cancelling or a gate takes it away, or the loudspeaker went silent.`,
    )
  }
  if (changed) {
    const together = floorDriftDb / changeDb.value > togetherShare
    const room = `the room ${floorDriftDb < 0 ? 'fell' : 'rose'} with it by ${Math.abs(floorDriftDb).toFixed(1)} dB`
    words.push(
      changeDb.value < 0
        ? `Faded: the tone fell by ${size(changeDb)} within ${heardS}${together ? `, and ${room}: automatic gain or noise suppression turns both down` : ': noise suppression or echo cancelling takes it for a disturbance'}, unless the source itself fades.`
        : `Raised: the tone rose by ${size(changeDb)} within ${heardS}${together ? `, and ${room}` : ''}: automatic gain, unless the source itself rises.`,
    )
  }
  if (gated) {
    const times = gaps.count === 1 ? 'once' : `${gaps.count} times`
    words.push(`Gated: the tone fell under half ${times}, ${gaps.totalS.toFixed(1)} s in all, and came back.`)
  }
  if (pumped) {
    words.push(`Pumped: the level goes to and fro by ${size(wanderDb)} rms: automatic gain follows other sounds.`)
  }
  // Beside a fade or a gap the wander is the same thing told twice.
  if (wanderDb.standing === 'beyond' && words.length === 0) {
    words.push(
      `Not steady: the level leaves a straight line by ${size(wanderDb)} rms, by automatic gain or by the source.`,
    )
  }
  if (floorStepDb?.standing === 'beyond') {
    words.push(
      floorStepDb.value > 0
        ? `Held down in the pause: the room rose by ${size(floorStepDb)} as the tone began. A gate or noise suppression had closed, unless the source hisses so much itself.`
        : `Turned down for the tone: the room sank by ${size(floorStepDb)} as it began. Automatic gain makes way for it, or an echo is cancelled.`,
    )
  }
  return words
}

function openWords({ changeDb, wanderDb, gaps, floorStepDb, fromS, toS, overRoomDb }: SteadyToneFigures): string[] {
  const words: string[] = []
  const heardS = toS - fromS
  if (heardS < leastToneS) words.push(`the tone was heard for ${heardS.toFixed(1)} s, and ${leastToneS} s are needed`)
  const faint = `the tone stands only ${overRoomDb.toFixed(0)} dB over the room beside it`
  if (changeDb.standing === 'open') words.push(`its level changed by ${measuredWords(changeDb)}; ${faint}`)
  if (wanderDb.standing === 'open') {
    words.push(
      `it wandered by ${wanderDb.low.toFixed(1)} to ${wanderDb.high.toFixed(1)} dB rms, about the limit; ${faint}`,
    )
  }
  if (gaps.standing === 'open') words.push(`gaps cannot be told from noise; ${faint}`)
  if (floorStepDb?.standing === 'open') {
    words.push(`the room changed by ${measuredWords(floorStepDb)} as the tone began: it is too uneven itself`)
  }
  return words
}

function noteWords({ floorStepDb, ended, toS, overloaded }: SteadyToneFigures, sourceGoesOn: boolean): string[] {
  const words: string[] = []
  if (overloaded) words.push('Overload: full scale was reached. Turn it down and test again.')
  if (ended && !sourceGoesOn) {
    words.push(
      `The tone was gone at ${toS.toFixed(1)} s. If it was still playing then, a gate or echo cancelling took it away.`,
    )
  }
  if (floorStepDb === null) {
    words.push(
      'Too little of the room alone was heard before the tone: a gate that closes in pauses, and what acts at once, are not told. Begin the tone after the test.',
    )
  }
  return words
}

const capital = (words: string): string => `${words.charAt(0).toUpperCase()}${words.slice(1)}.`

/** Cents are told to a thousandth: a part in a million is 0.0017 of one. */
export function clockWords(figures: ClockFigures): CheckWords {
  const { ppm, lowPpm, highPpm, readsCents, lowCents, highCents, knownHz, knownPpm, ownPpm, standing, spanS } = figures
  const interval = `${signed(lowPpm, 1)} to ${signed(highPpm, 1)} ppm`
  const basis = `From ${spanS.toFixed(1)} s of ${knownHz} Hz; ±${ownPpm.toFixed(1)} ppm are this recording’s, ±${knownPpm} ppm the source’s own as stated.`
  const moved =
    standing === 'moved'
      ? ['The tone moved meanwhile: source and microphone must stand still. The interval is wider for it.']
      : []
  if (standing === 'beyond') {
    return {
      sentence: `${signed(ppm, 0)} ppm: no clock is off by so much. The tone is not ${knownHz} Hz, or the sound was converted on its way.`,
      reasons: [basis, ...moved],
    }
  }
  const cents = `${signed(readsCents, 3)} c (${signed(lowCents, 3)} to ${signed(highCents, 3)})`
  const side = ppm < 0 ? 'slow' : 'fast'
  const sentence =
    lowPpm <= 0 && highPpm >= 0
      ? `No difference of the clock is told: ${interval}. What readings may be off by: ${signed(lowCents, 3)} to ${signed(highCents, 3)} c.`
      : `This input’s clock is ${Math.abs(ppm).toFixed(1)} ppm ${side} (${interval}): readings are off by ${cents}.`
  return {
    sentence,
    reasons: ['To be taken into account by hand: nothing on this page is corrected by it.', basis, ...moved],
  }
}
