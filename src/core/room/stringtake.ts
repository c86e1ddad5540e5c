/**
 * Figures of one pluck in the room: when it began, its pitch, stiffness and decay, how it stands over the room, partial by
 * partial, and which other strings sound.
 *
 * Ratios are power of the take less power of the noise take, over power of the noise take: string over the room as it is on
 * the whole, whatever it did in that second. Below 0.6 of the first partial nothing of the take is string and nothing is
 * counted; the room is counted whole. Pitch and stiffness are fitted by study/fitstring.ts; the whitened sum finds the pitch
 * to begin with, within 150 c of the target. What is not measurable is null, and `missing` says why.
 */
import { centsBetween, hzFromCents } from '../maths/units.ts'
import { listen } from '../methods/listen.ts'
import type { StringLaw } from '../methods/stringlaw.ts'
import { whitenedSum } from '../methods/whitened-sum.ts'
import { type FittedString, fitString } from '../study/fitstring.ts'
import { levelMomentsS } from '../study/levels.ts'
import { powerOfSpan } from './bandpower.ts'
import { leastSnrDb, measuredLaw } from './measuredlaw.ts'
import { checkRate, type NoiseFigures } from './noisetake.ts'
import { refinedOnset } from './onsetrefined.ts'
import { clearOfLines, fitFromS, readPartials } from './partialpeaks.ts'
import { type RingingString, ringingStrings } from './ringing.ts'
import type { RoomString } from './roomstring.ts'
import type { Missing, StringFigures } from './stringfigures.ts'
import { risenOnset, stringOnset } from './stringonset.ts'
import { meanDeviationCents, partialsOf } from './stringpartials.ts'
import { ratiosOf } from './stringratios.ts'
import { toldGlide } from './toldglide.ts'

export type { StringFigures, StringPartial } from './stringfigures.ts'

/** The attack is over, and the window below still fits the take. */
const settledS = 0.05
const aboutS = 1
/** As the method's own window at 48 kHz. */
const aboutWindowS = 0.34
const ratioS = 1
const longestFitS = 1.5

/** `samples`: from before the onset, a third of a second or more, to 1 s after it or later; 3 s are wanted. */
export function stringFigures(
  samples: Float32Array,
  sampleRateHz: number,
  string: RoomString,
  noise: NoiseFigures,
): StringFigures {
  checkRate(sampleRateHz)
  const missing: Missing = {}
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
  const read =
    fitted === null
      ? []
      : clearOfLines(readPartials(samples, sampleRateHz, fitted.onsetS, fitted.toS, fitted), noise.lines)
  const measured =
    fitted === null || read.every(({ snrDb }) => snrDb < leastSnrDb)
      ? null
      : measuredLaw(fitted.pluck, read, string.stiffness, fitted.toS - fitFromS)
  if (measured === null) missing.f1Hz = 'Its partials do not stand out enough to measure the pitch by.'
  const stiff = measured?.told ?? null
  if (stiff === null) {
    missing.stiffness = 'Its upper partials are too few over the room, or scatter too far, to measure stiffness by.'
    missing.scatterCents = missing.stiffness
  }
  const law: StringLaw = { f1Hz: measured?.f1Hz ?? aboutHz, stiffness: stiff?.stiffness ?? string.stiffness }
  const onset = found === null ? null : refinedOnset(samples, sampleRateHz, found, law, noise.spectrum)
  const ratios = ratiosOf(samples, sampleRateHz, onset, law.f1Hz, noise, missing)
  const partials = partialsOf(samples, sampleRateHz, onset ?? 0, law, read, noise)
  const f1Hz = hzFromCents(meanDeviationCents(partials), law.f1Hz)
  const decayS = partials[0]?.decayS ?? null
  if (decayS === null) missing.decayS = 'Partial 1 is not long enough over the room to tell how it fades.'
  return {
    string: string.id,
    onsetS: onset === null ? null : onset / sampleRateHz,
    heardS: (samples.length - (onset ?? 0)) / sampleRateHz,
    f1Hz: measured === null ? null : f1Hz,
    offCents: measured === null ? null : centsBetween(f1Hz, string.targetHz),
    f1SpreadCents: stiff?.f1SpreadCents ?? null,
    stiffness: stiff?.stiffness ?? null,
    stiffnessSpread: stiff?.stiffnessSpread ?? null,
    scatterCents: stiff?.scatterCents ?? null,
    decayS,
    glide: onset === null ? null : toldGlide(samples, sampleRateHz, onset, f1Hz, noise.spectrum),
    ...ratios,
    partials,
    ringing: ringingOf(samples, sampleRateHz, onset, string, law, noise, missing),
    missing,
  }
}

function notHeard(string: RoomString, onsetS: number | null, takeS: number, missing: Missing): StringFigures {
  const why = 'No string was heard within 150 c of this note.'
  for (const key of ['f1Hz', 'stiffness', 'scatterCents', 'decayS', 'ratioDb', 'ratioAtDb', 'ringing'] as const) {
    missing[key] = why
  }
  return {
    string: string.id,
    onsetS,
    heardS: takeS - (onsetS ?? 0),
    ...{ f1Hz: null, offCents: null, f1SpreadCents: null, stiffness: null, stiffnessSpread: null },
    ...{ scatterCents: null, decayS: null, glide: null, ratioDb: null },
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
  missing: Missing,
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
