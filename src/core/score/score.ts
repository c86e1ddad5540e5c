/**
 * Scores one method's readings on one take against the truth: errors, first steady moment, claim.
 *
 * Errors are reading minus settled truth, in cents, of the readings whose evidence lies wholly inside the first second after
 * the onset. Gross: |error| >= 50 c (the strict `< 50` of open evaluation code, mir_eval/melody.py) against the truth as it
 * was at the reading's time; fine: the rest. The quiet twin (the same pluck without noise) tells what the method does to the
 * string itself (offset, structural false claims) from what the room did. Claims use all readings of the take; claim.ts.
 * Never throws for data: NaN where there is nothing to tell.
 */
import { median, rms } from '../maths/statistics.ts'
import { centsBetween } from '../maths/units.ts'
import type { Reading } from '../methods/method.ts'
import type { Truth } from '../scene/scene.ts'
import type { Bound } from './bound.ts'
import { firstHold, settledFrom } from './claim.ts'

export interface ClaimSettings {
  /** Largest spread of the readings in a hold, cents. */
  readonly spanCents: number
  /** How long readings must stay together before a person may act, s. */
  readonly holdS: number
  /** A claim within this of the truth is true, cents. */
  readonly tolCents: number
}

/**
 * none: no lock inside the take. room: a false claim that the quiet twin does not make. structural: the twin's claim is
 * false too. premature: a hold completed before the onset (a false claim; its cause is the room).
 */
export type Claim = 'true' | 'room' | 'structural' | 'premature' | 'none'

/** What one method did in one trial. Cents; NaN where there is nothing to tell (null in JSON). */
export interface Score {
  /** Readings whose evidence lies wholly inside the first second after the onset: all figures in cents but the claim's speak of them. */
  readonly readings: number
  readonly missing: number
  /** |error| >= 50 c, declined ones not counted. NaN without a string. */
  readonly gross: number
  /** Gross errors within 50 c of a whole number of octaves (not zero) from the truth. */
  readonly octave: number
  /** Median reading on the quiet twin minus the truth; NaN without a twin. */
  readonly offsetCents: number
  /** Median of reading minus truth. */
  readonly medianCents: number
  /** Median of |reading minus truth|, over all readings that are not declined. */
  readonly medianAbsCents: number
  /** Median of reading minus truth minus offset, over fine readings. */
  readonly noiseErrorCents: number
  /** Root mean square of reading minus truth minus offset, over fine readings. */
  readonly noiseRmsCents: number
  /** Root mean square of the stiffness-known bound over the same readings' evidence. */
  readonly boundRmsCents: number
  /** Seconds after the onset from which the bound allows a claim; NaN: never, or no bound. The same for all methods of a trial. */
  readonly boundLockS: number
  /** First moment after the onset from which readings stay within 5 (1) c of the truth for the hold; hold not counted. NaN: never. */
  readonly within5S: number
  readonly within1S: number
  /** Seconds after the onset; negative for a premature claim; NaN: no lock. */
  readonly firstSteadyS: number
  readonly lockS: number
  readonly claim: Claim
  /** Claim minus truth; NaN without a claim. */
  readonly claimCents: number
}

export interface ScoreInput {
  /** In order of time; samples count from the start of the take. */
  readonly readings: readonly Reading[]
  readonly sampleRateHz: number
  /** Of the string plucked; without a string, of the one taken away. */
  readonly truth: Truth
  /** Readings of the same method on the string side alone; null: there is none, all false claims are then the room's. */
  readonly twin: readonly Reading[] | null
  readonly settings: ClaimSettings
  /** No string sounds: there are no errors to tell, and any claim is false. */
  readonly noString?: boolean
  /** Any claim is false: an aimed method was told another string than the one plucked. */
  readonly alwaysFalse?: boolean
  /** Of the string plucked in the trial's noise. */
  readonly bound?: Bound
}

/** From here on an error is another note, or half of one. */
const grossCents = 50

/** Errors are taken over this long after the onset. */
const scoredS = 1

/** Evidence times read from text are rounded to a microsecond or so. */
const slackS = 2e-6

export function scoreReadings(input: ScoreInput): Score {
  const { readings, sampleRateHz, truth, twin, settings } = input
  const { onsetS, settledHz } = truth
  const scored = readings.filter((reading) => isScored(reading, sampleRateHz, onsetS))
  const answered = scored.filter((reading) => reading.f0Hz > 0)
  const within = (cents: number): number =>
    input.noString === true
      ? Number.NaN
      : settledFrom(readings, sampleRateHz, onsetS, settledHz, cents, settings.holdS) - onsetS
  return {
    readings: scored.length,
    missing: scored.length - answered.length,
    ...(input.noString === true ? noErrors : errorsOf(answered, input)),
    boundLockS: input.noString === true ? Number.NaN : (input.bound?.lockS(settings.tolCents) ?? Number.NaN),
    within5S: within(5),
    within1S: within(1),
    ...claimOf(readings, twin, input),
  }
}

function isScored({ fromSample, toSample }: Reading, sampleRateHz: number, onsetS: number): boolean {
  return fromSample / sampleRateHz >= onsetS - slackS && toSample / sampleRateHz <= onsetS + scoredS + slackS
}

type ErrorFigures = Pick<
  Score,
  | 'gross'
  | 'octave'
  | 'offsetCents'
  | 'medianCents'
  | 'medianAbsCents'
  | 'noiseErrorCents'
  | 'noiseRmsCents'
  | 'boundRmsCents'
>

const noErrors: ErrorFigures = {
  gross: Number.NaN,
  octave: Number.NaN,
  offsetCents: Number.NaN,
  medianCents: Number.NaN,
  medianAbsCents: Number.NaN,
  noiseErrorCents: Number.NaN,
  noiseRmsCents: Number.NaN,
  boundRmsCents: Number.NaN,
}

function errorsOf(answered: readonly Reading[], { sampleRateHz, truth, twin, bound }: ScoreInput): ErrorFigures {
  const { onsetS, settledHz } = truth
  const errors = answered.map((reading) => centsBetween(reading.f0Hz, settledHz))
  const soundingErrors = answered.map((reading) =>
    centsBetween(reading.f0Hz, soundingHz(truth, reading.toSample / sampleRateHz)),
  )
  const grossErrors = soundingErrors.filter((cents) => !(Math.abs(cents) < grossCents))
  const quiet = (twin ?? []).filter((reading) => reading.f0Hz > 0 && isScored(reading, sampleRateHz, onsetS))
  const offsetCents = median(quiet.map((reading) => centsBetween(reading.f0Hz, settledHz)))
  const fine = answered.filter((_, i) => Math.abs(soundingErrors[i]) < grossCents)
  const noiseErrors = fine.map((reading) => centsBetween(reading.f0Hz, settledHz) - offsetCents)
  const bounds =
    bound === undefined
      ? []
      : fine
          .map(({ fromSample, toSample }) =>
            bound.sdCents(fromSample / sampleRateHz - onsetS, toSample / sampleRateHz - onsetS),
          )
          .filter(Number.isFinite)
  return {
    gross: grossErrors.length,
    octave: grossErrors.filter(isOctave).length,
    offsetCents,
    medianCents: median(errors),
    medianAbsCents: median(errors.map(Math.abs)),
    noiseErrorCents: median(noiseErrors),
    noiseRmsCents: rms(noiseErrors),
    boundRmsCents: rms(bounds),
  }
}

/** The last row of the track that is not later than `timeS`; the settled truth where the track tells nothing. */
function soundingHz({ track, settledHz }: Truth, timeS: number): number {
  let [low, high] = [0, track.length]
  while (low < high) {
    const middle = (low + high) >> 1
    if (track[middle].timeS <= timeS + slackS) low = middle + 1
    else high = middle
  }
  const f0Hz = low === 0 ? Number.NaN : track[low - 1].f0Hz
  return f0Hz > 0 ? f0Hz : settledHz
}

function isOctave(cents: number): boolean {
  const octaves = Math.round(cents / 1200)
  return octaves !== 0 && Math.abs(cents - 1200 * octaves) < grossCents
}

type ClaimFigures = Pick<Score, 'firstSteadyS' | 'lockS' | 'claim' | 'claimCents'>

function claimOf(readings: readonly Reading[], twin: readonly Reading[] | null, input: ScoreInput): ClaimFigures {
  const claim = firstClaim(readings, input)
  if (claim === null) {
    return { firstSteadyS: Number.NaN, lockS: Number.NaN, claim: 'none', claimCents: Number.NaN }
  }
  const { lockS, claimCents } = claim
  return { firstSteadyS: lockS - input.settings.holdS, lockS, claimCents, claim: kindOf(claim, twin, input) }
}

function kindOf(claim: FirstClaim, twin: readonly Reading[] | null, input: ScoreInput): Claim {
  if (claim.lockS < 0) return 'premature'
  if (claim.isTrue) return 'true'
  const quiet = twin === null ? null : firstClaim(twin, input)
  return quiet === null || quiet.isTrue ? 'room' : 'structural'
}

interface FirstClaim {
  /** Seconds after the onset. */
  readonly lockS: number
  readonly claimCents: number
  readonly isTrue: boolean
}

/** The first claim of a take is final. */
function firstClaim(
  readings: readonly Reading[],
  { sampleRateHz, truth, settings, noString, alwaysFalse }: ScoreInput,
): FirstClaim | null {
  const hold = firstHold(readings, sampleRateHz, settings)
  if (hold === null) return null
  const held = readings.slice(hold.first, hold.last + 1)
  const claimCents = median(held.map((reading) => centsBetween(reading.f0Hz, truth.settledHz)))
  const lockS = hold.lockS - truth.onsetS
  const isFalse = noString === true || alwaysFalse === true || lockS < 0
  return { lockS, claimCents, isTrue: !isFalse && Math.abs(claimCents) <= settings.tolCents }
}
