/**
 * Why a method claimed what it claimed, or claimed nothing: told from its readings, its quiet twin, the string's partials
 * and the tones that stand out of the room. Numbers only; the page puts them into words.
 *
 * The reasons are those that the rule of claims itself knows (declined readings, gaps, readings too far apart, too little
 * take left) and, for what was claimed, what lies at the claimed frequency: a partial of the string, a tone of the room, or
 * neither. A tone near a reading is a likely cause, not a proven one: a method may have followed the sum of both.
 */
import { median } from '../maths/statistics.ts'
import { centsBetween, dbFromAmplitudeRatio } from '../maths/units.ts'
import type { Reading } from '../methods/method.ts'
import type { Partial, Truth } from '../scene/scene.ts'
import { firstHold, type Hold } from '../score/claim.ts'
import type { ClaimSettings, Score } from '../score/score.ts'
import { amplitudeAt } from './fading.ts'
import { leastSpan, longestRunS, steadyEndS } from './holding.ts'
import type { Line, LineSpan } from './lines.ts'
import type { Variant } from './study.ts'

export interface WhyInput {
  readonly family: 'blind' | 'aimed'
  readonly readings: readonly Reading[]
  /** Empty when no string sounds. */
  readonly twin: readonly Reading[]
  readonly score: Score
  readonly sampleRateHz: number
  readonly truth: Truth
  readonly settings: ClaimSettings
  readonly variant: Variant
  /** Empty for a recorded string: then only the law without stiffness is known. */
  readonly partials: readonly Partial[]
  /** The strongest tone of the room within a span; times from the start of the take. */
  lineIn(span: LineSpan): Line | null
}

/** A tone of the room, and the partial of the string it lies nearest to. */
export interface Tone {
  readonly hz: number
  readonly k: number
  /** Tone minus partial. */
  readonly fromPartialCents: number
  /** Its amplitude over that of the partial in the middle of the span; NaN for recorded strings. */
  readonly overPartialDb: number
}

/** What lies where the readings were. `partial` k: k > 0 the k-th partial, k < 0 the -k-th part of the string's frequency. */
export type Followed =
  | { readonly kind: 'tone'; readonly hz: number; readonly tone: Tone }
  | { readonly kind: 'partial'; readonly hz: number; readonly k: number; readonly overFirstDb: number }
  | { readonly kind: 'nothing'; readonly hz: number }

export type Cause =
  /** A claim: the hold's readings lay within `spanCents`. `quietCents`: what the twin claims, NaN: nothing. */
  | { readonly kind: 'held'; readonly spanCents: number; readonly quietCents: number; readonly followed: Followed }
  /** Claim or not: an aimed method was told another string than the one plucked. */
  | { readonly kind: 'wrong-string'; readonly declined: number; readonly of: number }
  /** No claim: no reading was heard wholly after the pluck. */
  | { readonly kind: 'silent' }
  | { readonly kind: 'slow'; readonly everyS: number; readonly neededS: number }
  | { readonly kind: 'ended'; readonly steadyS: number }
  /** Gross errors, by octaves or not; `together` of them lie within a semitone where `followed` says. */
  | {
      readonly kind: 'elsewhere'
      readonly count: number
      readonly of: number
      readonly octaves: number
      readonly together: number
      readonly followed: Followed
    }
  | { readonly kind: 'declined'; readonly count: number; readonly of: number; readonly longestS: number }
  | { readonly kind: 'scattered'; readonly leastCents: number; readonly declined: number; readonly of: number }

export interface Why {
  readonly variant: Variant
  readonly claim: Score['claim']
  readonly claimCents: number
  readonly lockS: number
  /** What the method does to this string in quiet: median of the first second; NaN without a string. */
  readonly offsetCents: number
  /** From the pluck to the end of the take. */
  readonly heardS: number
  readonly cause: Cause
}

/** Another note begins here, as in the score. */
const grossCents = 50
/** A hold needs this many readings, as in the rule of claims. */
const fewestReadings = 5
/** Wide enough for what a tone beside the string drags a reading to, narrow enough to mean this tone. */
const nearCents = 60
/** A tone is looked for this long before and after the middle of what may have followed it: notes of a room are short. */
const lookS = 0.2
/** Readings are matched with parts and partials of the string up to these. */
const mostPartial = 10
const mostPart = 4

export function why(input: WhyInput): Why {
  const { score, readings, sampleRateHz, truth, settings } = input
  const { claim, claimCents, lockS, offsetCents } = score
  const heardS = (readings.at(-1)?.toSample ?? 0) / sampleRateHz - truth.onsetS
  const hold = claim === 'none' ? null : firstHold(readings, sampleRateHz, settings)
  const misled = input.variant === 'wrong-string' && input.family === 'aimed'
  const cause = misled ? misledCause(input) : hold === null ? causeOfNone(input) : causeOfClaim(input, hold)
  return { variant: input.variant, claim, claimCents, lockS, offsetCents, heardS, cause }
}

const heardWholly = ({ readings, sampleRateHz, truth }: WhyInput): readonly Reading[] =>
  readings.filter((reading) => reading.fromSample / sampleRateHz >= truth.onsetS)

function misledCause(input: WhyInput): Cause {
  const heard = heardWholly(input)
  return { kind: 'wrong-string', declined: heard.filter(({ f0Hz }) => !(f0Hz > 0)).length, of: heard.length }
}

function causeOfClaim(input: WhyInput, hold: Hold): Cause {
  const { readings, twin, sampleRateHz, settings, truth } = input
  const held = readings.slice(hold.first, hold.last + 1).map((reading) => reading.f0Hz)
  const quietHold = firstHold(twin, sampleRateHz, settings)
  const quiet = quietHold === null ? [] : twin.slice(quietHold.first, quietHold.last + 1)
  return {
    kind: 'held',
    spanCents: centsBetween(Math.max(...held), Math.min(...held)),
    quietCents: median(quiet.map((reading) => centsBetween(reading.f0Hz, truth.settledHz))),
    followed: followedBy(
      input,
      median(held),
      readings[hold.first].fromSample / sampleRateHz,
      readings[hold.last].toSample / sampleRateHz,
    ),
  }
}

function causeOfNone(input: WhyInput): Cause {
  const { readings, sampleRateHz, truth, settings } = input
  const { onsetS, settledHz } = truth
  const heard = heardWholly(input)
  const of = heard.length
  if (of === 0) return { kind: 'silent' }
  const answered = heard.filter((reading) => reading.f0Hz > 0)
  const declined = of - answered.length
  const longestS = longestRunS(heard, sampleRateHz)
  if (answered.length === 0) return { kind: 'declined', count: declined, of, longestS: 0 }

  const gaps = heard.slice(1).map((reading, i) => (reading.toSample - heard[i].toSample) / sampleRateHz)
  const neededS = Math.min(settings.holdS / 3, settings.holdS / (fewestReadings - 1))
  const everyS = of < 2 ? Number.POSITIVE_INFINITY : median(gaps)
  if (everyS > neededS) return { kind: 'slow', everyS, neededS }

  const cents = answered.map((reading) => centsBetween(reading.f0Hz, settledHz))
  const gross = cents.filter((value) => Math.abs(value) >= grossCents)
  const steadyS = steadyEndS(heard, sampleRateHz, settings)
  // Less than half a hold at the end of a take is not yet a claim that the end prevented.
  if (steadyS >= settings.holdS / 2) return { kind: 'ended', steadyS }
  const leastCents = leastSpan(readings, sampleRateHz, settings, onsetS)
  // Gross errors are the reason where they are the rule, or where no hold passed without one.
  const away = gross.length > of / 2 || leastCents >= grossCents
  if (away && gross.length > 0 && input.variant !== 'no-string') {
    const place = fullestPlace(answered.filter((_, i) => Math.abs(cents[i]) >= grossCents))
    const aroundS = median(place.map((reading) => reading.atSample)) / sampleRateHz
    const followed = followedBy(input, median(place.map(({ f0Hz }) => f0Hz)), aroundS - lookS, aroundS + lookS)
    const octaves = gross.filter(isOctave).length
    return { kind: 'elsewhere', count: gross.length, of, octaves, together: place.length, followed }
  }
  if (Number.isNaN(leastCents)) return { kind: 'declined', count: declined, of, longestS }
  return { kind: 'scattered', leastCents, declined, of }
}

function isOctave(cents: number): boolean {
  const octaves = Math.round(cents / 1200)
  return octaves !== 0 && Math.abs(cents - 1200 * octaves) < grossCents
}

/** Most of them that lie within a semitone of each other. */
function fullestPlace(some: readonly Reading[]): readonly Reading[] {
  const sorted = [...some].sort((a, b) => a.f0Hz - b.f0Hz)
  let best: readonly Reading[] = []
  for (let from = 0, to = 0; from < sorted.length; from++) {
    while (to < sorted.length && centsBetween(sorted[to].f0Hz, sorted[from].f0Hz) < 2 * grossCents) to++
    if (to - from > best.length) best = sorted.slice(from, to)
  }
  return best
}

function followedBy(input: WhyInput, hz: number, fromS: number, toS: number): Followed {
  const { truth, partials, variant } = input
  const line = input.lineIn({ fromS, toS, lowHz: hz * 2 ** (-nearCents / 1200), highHz: hz * 2 ** (nearCents / 1200) })
  const match = variant === 'no-string' ? null : matchOf(hz, truth.settledHz, partials)
  const lineCents = line === null ? Number.POSITIVE_INFINITY : Math.abs(centsBetween(line.hz, hz))
  if (line !== null && lineCents < (match?.cents ?? Number.POSITIVE_INFINITY)) {
    return { kind: 'tone', hz, tone: toneOf(line, truth, partials, (fromS + toS) / 2 - truth.onsetS) }
  }
  if (match === null) return { kind: 'nothing', hz }
  return { kind: 'partial', hz, k: match.k, overFirstDb: overFirstDb(match.k, partials) }
}

/** The partial (k > 1) or part (k < -1) of the string within a gross error of `hz`; the string itself is no match. */
function matchOf(hz: number, f1Hz: number, partials: readonly Partial[]): { k: number; cents: number } | null {
  const places: { k: number; hz: number }[] = []
  for (let k = 2; k <= mostPartial; k++) places.push({ k, hz: partialHz(k, f1Hz, partials) })
  for (let part = 2; part <= mostPart; part++) places.push({ k: -part, hz: f1Hz / part })
  const near = places
    .map(({ k, hz: placeHz }) => ({ k, cents: Math.abs(centsBetween(hz, placeHz)) }))
    .filter(({ cents }) => cents < grossCents)
    .sort((a, b) => a.cents - b.cents)
  return near[0] ?? null
}

const partialHz = (k: number, f1Hz: number, partials: readonly Partial[]): number =>
  partials.find((partial) => partial.k === k)?.frequencyHz ?? k * f1Hz

function overFirstDb(k: number, partials: readonly Partial[]): number {
  const [first, other] = [1, k].map((wanted) => partials.find((partial) => partial.k === wanted)?.amplitude)
  return first === undefined || other === undefined ? Number.NaN : dbFromAmplitudeRatio(other / first)
}

/** @param atS after the onset: when the partial's amplitude is looked at. */
export function toneOf(line: Line, truth: Truth, partials: readonly Partial[], atS: number): Tone {
  const k = Math.max(1, nearestPartial(line.hz, truth.settledHz, partials))
  const partial = partials.find((one) => one.k === k)
  const amplitude = partial === undefined ? Number.NaN : amplitudeAt(partial, atS)
  return {
    hz: line.hz,
    k,
    fromPartialCents: centsBetween(line.hz, partialHz(k, truth.settledHz, partials)),
    overPartialDb: dbFromAmplitudeRatio(line.amplitude / amplitude),
  }
}

/** By cents. */
function nearestPartial(hz: number, f1Hz: number, partials: readonly Partial[]): number {
  const guess = Math.round(hz / f1Hz)
  const candidates = [guess - 1, guess, guess + 1].filter((k) => k >= 1)
  const away = (k: number): number => Math.abs(centsBetween(hz, partialHz(k, f1Hz, partials)))
  return candidates.sort((a, b) => away(a) - away(b))[0] ?? 1
}
