/**
 * Figures of one pluck in the room: when it began, its pitch, stiffness and decay, how it stands over the room, partial by
 * partial, and which other strings sound.
 *
 * Ratios are power of the take less power of the noise take, over power of the noise take: string over the room as it is on
 * the whole, whatever it did in that second. Below 0.6 of the first partial nothing of the take is string and nothing is
 * counted; the room is counted whole. Pitch and stiffness are fitted by study/fitstring.ts; the whitened sum finds the pitch
 * to begin with, within 150 c of the target. What is not measurable is null, and `missing` says why.
 */
import { centsBetween, dbFromPowerRatio, hzFromCents, powerRatioFromDb } from '../maths/units.ts'
import { hann } from '../maths/windows.ts'
import { listen } from '../methods/listen.ts'
import { partialHz, type StringLaw } from '../methods/stringlaw.ts'
import { whitenedSum } from '../methods/whitened-sum.ts'
import { type FittedString, fitString, type MeasuredPartial } from '../study/fitstring.ts'
import { levelMomentsS } from '../study/levels.ts'
import { powerBetween, powerOfSpan, SegmentDensity } from './bandpower.ts'
import { chiSquareOverFreedom } from './chisquare.ts'
import { highPassed, highPassGain } from './highpass.ts'
import { leastSnrDb, measuredLaw } from './measuredlaw.ts'
import { checkRate, type NoiseFigures } from './noisetake.ts'
import { refinedOnset } from './onsetrefined.ts'
import { partialDecayS } from './partialdecay.ts'
import { clearOfLines, fitFromS, readPartials } from './partialpeaks.ts'
import { type PartialStanding, partialStandings } from './partialstanding.ts'
import { type RingingString, ringingStrings } from './ringing.ts'
import { type RoomString, toldPartials } from './roomstring.ts'
import { risenOnset, stringOnset } from './stringonset.ts'

export type { PartialStanding } from './partialstanding.ts'
export type { RingingString } from './ringing.ts'

export interface StringPartial {
  readonly k: number
  /** Where the law has it: the middle of the band that `ratioDb` speaks of. */
  readonly lawHz: number
  /** null: it does not stand out. */
  readonly frequencyHz: number | null
  /** Off the law fitted to all; null: it does not stand out. */
  readonly deviationCents: number | null
  /** Within 50 c over the first second, string over noise; null: not told from the room. */
  readonly ratioDb: number | null
  /** The same power re the strongest partial; null: not told from the room. */
  readonly levelDb: number | null
  /** T60; null: too short above the room to be measured. */
  readonly decayS: number | null
  readonly standing: PartialStanding
  /** Under the median of its neighbours, positive; null: it or they cannot be measured. */
  readonly underNeighboursDb: number | null
}

/** Figures that may be missing, each with its reason. */
export type StringFigureKey =
  | 'onsetS'
  | 'f1Hz'
  | 'stiffness'
  | 'scatterCents'
  | 'decayS'
  | 'ratioDb'
  | 'ratioAtDb'
  | 'ringing'

/** null: not measurable; `missing` says why in a sentence for a person. */
export interface StringFigures {
  readonly string: string
  /** From the start of the samples. */
  readonly onsetS: number | null
  /** From the onset, or from the start where there is none, to the end of the samples. */
  readonly heardS: number
  /** First partial of the law that fits the first six partials best: what a technician tunes. */
  readonly f1Hz: number | null
  /** f1 off the target. */
  readonly offCents: number | null
  /** Standard deviation of f1, from how far the partials scatter; null where stiffness is. */
  readonly f1SpreadCents: number | null
  readonly stiffness: number | null
  /** Standard deviation, as above. */
  readonly stiffnessSpread: number | null
  /** Partials from 2 up off the law, RMS. */
  readonly scatterCents: number | null
  /** T60 of partial 1. */
  readonly decayS: number | null
  /** String over noise, over the first second; the noise take's power is taken out of the take's. */
  readonly ratioDb: number | null
  /** At each of `levelMomentsS` after the onset, over 100 ms. */
  readonly ratioAtDb: readonly (number | null)[]
  /** 1 to `toldPartials`; empty: no string. */
  readonly partials: readonly StringPartial[]
  readonly ringing: readonly RingingString[]
  readonly missing: Readonly<Partial<Record<StringFigureKey, string>>>
}

/** The attack is over, and the window below still fits the take. */
const settledS = 0.05
const aboutS = 1
/** As the method's own window at 48 kHz. */
const aboutWindowS = 0.34
const ratioS = 1
const momentS = 0.1
const bandCents = 50
/** Of the first partial: the filter takes 0.07 dB of it. */
const cutShare = 0.6
/** Shares of the first second: short at the start, which is the loudest; what is cut is 2 % of the power. */
const startTaper = 0.03
const endTaper = 0.05
/** One-sided: a room alone reaches it once in a hundred takes. */
const z99 = 2.326
/** Two polarisations may beat by as much. */
const mostRiseDb = 3
/** Rows of tenths that make a second. */
const tenthsPerSecond = 10
/** Deviations of the room's own level that a string must rise above. */
const leastSwings = 2
const longestFitS = 1.5
const settledPartials = 6
/** `samples`: from before the onset, a third of a second or more, to 1 s after it or later; 3 s are wanted. */
export function stringFigures(
  samples: Float32Array,
  sampleRateHz: number,
  string: RoomString,
  noise: NoiseFigures,
): StringFigures {
  checkRate(sampleRateHz)
  const missing: Partial<Record<StringFigureKey, string>> = {}
  const told = stringOnset(samples, sampleRateHz, string, noise.spectrum)
  const aboutHz = aboutPitch(samples, sampleRateHz, told, string, noise)
  if (aboutHz === null) {
    if (told === null) missing.onsetS = 'No pluck was heard to begin in this take.'
    const toldS = told === null ? null : told / sampleRateHz
    return notHeard(string, toldS, samples.length / sampleRateHz, missing)
  }
  const about = { f1Hz: aboutHz, stiffness: string.stiffness }
  const found = told ?? risenOnset(samples, sampleRateHz, about, noise.spectrum)
  if (found === null) missing.onsetS = 'The string sounds, but no pluck was heard to begin.'
  const fitted = fittedFrom(samples, sampleRateHz, (found ?? 0) / sampleRateHz, aboutHz)
  if (fitted === null) missing.f1Hz = 'Its partials do not stand out enough to measure the pitch by.'
  const read =
    fitted === null
      ? []
      : clearOfLines(readPartials(samples, sampleRateHz, fitted.onsetS, fitted.toS, fitted), noise.lines)
  const measured = fitted === null ? null : measuredLaw(fitted.pluck, read, string.stiffness, fitted.toS - fitFromS)
  const stiff = measured?.told ?? null
  if (stiff === null) {
    missing.stiffness = 'Its upper partials are too few over the room, or scatter too far, to measure stiffness by.'
    missing.scatterCents = missing.stiffness
  }
  const law: StringLaw = { f1Hz: measured?.f1Hz ?? aboutHz, stiffness: stiff?.stiffness ?? string.stiffness }
  const onset = found === null ? null : refinedOnset(samples, sampleRateHz, found, law, noise.spectrum)
  const ratios = ratiosOf(samples, sampleRateHz, onset, law, noise, missing)
  const partials = partialsOf(samples, sampleRateHz, onset ?? 0, law, read, noise)
  const f1Hz = hzFromCents(meanDeviationCents(partials), law.f1Hz)
  const decayS = partials[0]?.decayS ?? null
  if (decayS === null) missing.decayS = 'Partial 1 is not long enough over the room to tell how it fades.'
  return {
    string: string.id,
    onsetS: onset === null ? null : onset / sampleRateHz,
    heardS: (samples.length - (onset ?? 0)) / sampleRateHz,
    f1Hz: fitted === null ? null : f1Hz,
    offCents: fitted === null ? null : centsBetween(f1Hz, string.targetHz),
    f1SpreadCents: stiff?.f1SpreadCents ?? null,
    stiffness: stiff?.stiffness ?? null,
    stiffnessSpread: stiff?.stiffnessSpread ?? null,
    scatterCents: stiff?.scatterCents ?? null,
    decayS,
    ...ratios,
    partials,
    ringing: ringingOf(samples, sampleRateHz, onset, string, law, noise, missing),
    missing,
  }
}

/** As the truth of a scene is: how far the first six partials lie off the law, weighted by their power in the first second. */
function meanDeviationCents(partials: readonly StringPartial[]): number {
  let [power, moment] = [0, 0]
  for (const { levelDb, deviationCents } of partials.slice(0, settledPartials)) {
    if (levelDb === null || deviationCents === null) continue
    power += powerRatioFromDb(levelDb)
    moment += powerRatioFromDb(levelDb) * deviationCents
  }
  return power > 0 ? moment / power : 0
}

function notHeard(
  string: RoomString,
  onsetS: number | null,
  takeS: number,
  missing: Partial<Record<StringFigureKey, string>>,
): StringFigures {
  const why = 'No string was heard within 150 c of this note.'
  for (const key of ['f1Hz', 'stiffness', 'scatterCents', 'decayS', 'ratioDb', 'ratioAtDb', 'ringing'] as const) {
    missing[key] = why
  }
  return {
    string: string.id,
    onsetS,
    heardS: takeS - (onsetS ?? 0),
    ...{ f1Hz: null, offCents: null, f1SpreadCents: null, stiffness: null, stiffnessSpread: null },
    ...{ scatterCents: null, decayS: null, ratioDb: null },
    ratioAtDb: levelMomentsS.map(() => null),
    ...{ partials: [], ringing: [], missing },
  }
}

/** Within a few cents; null: nothing sounds within 150 c of the target. */
function aboutPitch(
  samples: Float32Array,
  sampleRateHz: number,
  onset: number | null,
  { targetHz }: RoomString,
  { spectrum }: NoiseFigures,
): number | null {
  const from = Math.round((onset ?? 0) + settledS * sampleRateHz)
  const heard = samples.subarray(from, onset === null ? samples.length : from + Math.round(aboutS * sampleRateHz))
  const { min, max } = whitenedSum.fields.window
  const window = Math.max(min, Math.min(max, Math.round(aboutWindowS * sampleRateHz)))
  const stream = { sampleRateHz, lowestHz: 20, highestHz: 2000, targetHz, room: spectrum }
  const readings = listen(whitenedSum, heard, stream, { window, hop: Math.max(32, Math.floor(window / 8)) })
  const best = readings.filter(({ f0Hz }) => !Number.isNaN(f0Hz)).sort((a, b) => b.confidence - a.confidence)
  if (best.length < 0.3 * readings.length) return null
  return best[0]?.f0Hz ?? null
}

/** null: too short a span, or nothing that stands out. */
function fittedFrom(
  samples: Float32Array,
  sampleRateHz: number,
  onsetS: number,
  aboutHz: number,
): (FittedString & { readonly onsetS: number; readonly toS: number }) | null {
  // The span's last sample must be there whatever way the onset rounds.
  const toS = Math.min(longestFitS, samples.length / sampleRateHz - onsetS - 2 / sampleRateHz)
  try {
    return { ...fitString(samples, { sampleRateHz, onsetS, aboutHz, toS }), onsetS, toS }
  } catch {
    return null
  }
}

function ratiosOf(
  samples: Float32Array,
  sampleRateHz: number,
  onset: number | null,
  { f1Hz }: StringLaw,
  noise: NoiseFigures,
  missing: Partial<Record<StringFigureKey, string>>,
): Pick<StringFigures, 'ratioDb' | 'ratioAtDb'> {
  const nothing = { ratioDb: null, ratioAtDb: levelMomentsS.map(() => null) }
  if (onset === null) {
    missing.ratioDb = 'A ratio counts from the pluck, and none was heard to begin.'
    missing.ratioAtDb = missing.ratioDb
    return nothing
  }
  const cutHz = cutShare * f1Hz
  const string = highPassed(samples, sampleRateHz, cutHz)
  const { binHz, density } = noise.fineSpectrum
  const above = density.reduce((sum, own, bin) => sum + own * highPassGain(bin * binHz, sampleRateHz, cutHz), 0) * binHz
  const all = powerRatioFromDb(noise.levelDbfs)
  const swings = swingsOf(noise.tenthPowers)
  const ratio = (fromS: number, toS: number, most: number): number | null => {
    const [from, to] = [onset + fromS * sampleRateHz, onset + toS * sampleRateHz].map(Math.round)
    if (to > samples.length + 1) return null
    const own = powerOfSpan(string, from, to) - above
    return own > most * above ? dbFromPowerRatio(own / all) : null
  }
  const ratioDb = ratio(0, ratioS, swings.second)
  if (ratioDb === null) missing.ratioDb = 'The string is no louder than the room itself gets at times.'
  let last = Number.POSITIVE_INFINITY
  const ratioAtDb = levelMomentsS.map((atS) => {
    const own = ratio(atS - momentS / 2, atS + momentS / 2, swings.tenth)
    // A string only fades: what is louder than before is the room.
    last = own === null || own > last + mostRiseDb ? Number.NEGATIVE_INFINITY : own
    return last === Number.NEGATIVE_INFINITY ? null : own
  })
  if (ratioAtDb.includes(null))
    missing.ratioAtDb = 'By then the string is no louder than the room itself gets at times, or the take has ended.'
  return { ratioDb, ratioAtDb }
}

/** How far over its mean the room gets in a second and in a tenth, re the mean: two deviations, or the most it got. */
function swingsOf(tenths: Float64Array): { readonly second: number; readonly tenth: number } {
  const mean = tenths.reduce((sum, power) => sum + power, 0) / tenths.length
  const most = (values: Float64Array): number => {
    const deviation = Math.sqrt(values.reduce((sum, power) => sum + (power - mean) ** 2, 0) / values.length)
    return Math.max(leastSwings * deviation, ...values.map((power) => power - mean)) / mean
  }
  const seconds = Float64Array.from({ length: Math.max(1, tenths.length - tenthsPerSecond + 1) }, (_, i) => {
    const part = tenths.subarray(i, i + tenthsPerSecond)
    return part.reduce((sum, power) => sum + power, 0) / part.length
  })
  return mean > 0 ? { second: most(seconds), tenth: most(tenths) } : { second: 0, tenth: 0 }
}

function partialsOf(
  samples: Float32Array,
  sampleRateHz: number,
  onset: number,
  law: StringLaw,
  read: readonly MeasuredPartial[],
  noise: NoiseFigures,
): StringPartial[] {
  const length = Math.min(samples.length - Math.round(onset), Math.round(ratioS * sampleRateHz))
  const segment = new SegmentDensity(length, sampleRateHz, tapered(length))
  const density = new Float64Array(segment.bins)
  segment.of(samples, Math.round(onset), density)
  const { fineSpectrum: room } = noise
  const edge = 2 ** (bandCents / 1200)
  // Two more, so that the last that are told have neighbours too.
  const bands = Array.from({ length: toldPartials + 2 }, (_, i) => {
    const hz = partialHz(law, i + 1)
    const [lowHz, highHz] = [hz / edge, hz * edge]
    const noisePower = powerBetween(room.density, room.binHz, lowHz, highHz)
    // Two degrees a resolved bin; of so many the room's own power in a second is known to swing.
    const freedom = 2 * Math.max(1, (highHz - lowHz) * ratioS)
    const most = noisePower * chiSquareOverFreedom(z99, freedom)
    const power = highHz < sampleRateHz / 2 ? powerBetween(density, segment.binHz, lowHz, highHz) : 0
    return { hz, noisePower, limit: most - noisePower, own: power > most ? power - noisePower : null }
  })
  const strongest = bands.reduce((most, { own }) => Math.max(most, own ?? 0), 0)
  const relative = (power: number): number => dbFromPowerRatio(power / strongest)
  const standings = partialStandings(
    bands.map(({ own }) => (own === null ? null : relative(own))),
    bands.map(({ limit }) => relative(limit)),
  )
  return bands.slice(0, toldPartials).map(({ hz, noisePower, own }, i): StringPartial => {
    const measured = read.find(({ k, snrDb }) => k === i + 1 && snrDb >= leastSnrDb)
    const atHz = measured?.frequencyHz ?? hz
    const noiseDensity = noisePower / (hz * (edge - 1 / edge))
    return {
      k: i + 1,
      lawHz: hz,
      frequencyHz: measured?.frequencyHz ?? null,
      deviationCents: measured === undefined ? null : centsBetween(measured.frequencyHz, hz),
      ratioDb: own === null ? null : dbFromPowerRatio(own / noisePower),
      levelDb: own === null ? null : relative(own),
      decayS:
        own === null ? null : partialDecayS(samples, sampleRateHz, onset, { hz: atHz, f1Hz: law.f1Hz, noiseDensity }),
      ...standings[i],
    }
  })
}

/** Flat, with the halves of two Hann windows for ends. */
function tapered(length: number): Float64Array {
  const window = new Float64Array(length).fill(1)
  const [start, end] = [startTaper, endTaper].map((share) => Math.max(1, Math.round(share * length)))
  const rise = hann(2 * start)
  const fall = hann(2 * end)
  for (let i = 0; i < start; i++) window[i] = rise[i]
  for (let i = 0; i < end; i++) window[length - end + i] = fall[end + i]
  return window
}

/** Clear of the pluck, before and after. */
const clearS = 0.1
const beforeS = 0.02

function ringingOf(
  samples: Float32Array,
  sampleRateHz: number,
  onset: number | null,
  string: RoomString,
  law: StringLaw,
  noise: NoiseFigures,
  missing: Partial<Record<StringFigureKey, string>>,
): readonly RingingString[] {
  if (onset === null) {
    missing.ringing = 'Where no pluck begins, before and after cannot be told.'
    return []
  }
  const others = noise.strings.filter(({ id }) => id !== string.id)
  const end = Math.round(onset + ratioS * sampleRateHz)
  const power = powerOfSpan(samples, Math.round(onset), end)
  const before = { when: 'before' as const, from: Math.max(0, Math.round(onset - sampleRateHz)), to: 0 }
  const within = { when: 'while' as const, from: Math.round(onset + clearS * sampleRateHz), to: samples.length }
  return [
    ...ringingStrings(
      samples,
      sampleRateHz,
      { ...before, to: Math.round(onset - beforeS * sampleRateHz) },
      noise,
      noise.strings,
      null,
      power,
    ),
    ...ringingStrings(samples, sampleRateHz, within, noise, others, law, power),
  ]
}
