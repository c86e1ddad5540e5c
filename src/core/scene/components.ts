/**
 * What a pluck sets going: every partial in one or two polarisations, each a decaying sine of its own.
 *
 * Amplitudes |sin(pi k p)| / k, the velocity of an ideal string let go at the part p of its length (Fletcher & Rossing, Physics
 * of Musical Instruments, section 2.5); p = 0 stands for no comb at all. Another slope takes the place of 1 / k, and seeded
 * scatter is laid on partials from 2 up; partial 1, which matters most, has a level and an offset of its own. The string is
 * at rest until it is let go, so every partial starts as a sine from zero, with the sign of sin(pi k p): the first step is no
 * larger than those of later periods, and no ramp is needed.
 *
 * The body pulls and damps the first polarisation only, the one across the top; along it the bridge is taken as rigid.
 * Partials end at 0.45 of the sample rate (at the top of the glide) and at -120 dB of the strongest.
 */

import { pow, sin } from '../maths/portable.ts'
import { type Random, randomStream } from '../maths/random.ts'
import { amplitudeRatioFromDb } from '../maths/units.ts'
import { Problem } from '../problem.ts'
import { type BodyChoice, bodyEffect } from './body.ts'
import { powerOf, sharedPower } from './firstsecond.ts'
import { faintest, type Voice } from './oscillators.ts'
import { idealSlopeDb, pluckFields } from './pluckfields.ts'
import type { SyntheticPluck } from './scene.ts'
import { decayRates, decaysOf60Db, flexibleHz, partialHz, stringLaw } from './stringlaw.ts'

/** -20 dB of full scale: leaves room for peaks and for noise. */
export const stringRms = 0.1

/** Root mean square of a pluck over its first second. The default level gives `stringRms` to the last bit. */
export const rmsOf = ({ levelDbfs }: Pick<SyntheticPluck, 'levelDbfs'>): number =>
  stringRms * amplitudeRatioFromDb(levelDbfs - pluckFields.levelDbfs.default)

/** Above it anti-alias filters bend what is heard; the rest up to half the rate is left to noise. */
const highestShare = 0.45

/** What a pluck sounds on. */
export interface StringSetting {
  /** Of everything drawn for the string; the same seed and index give the same scatter at any rate and in any room. */
  readonly seed: number
  /** Of the pluck in its scene. */
  readonly index: number
  /** Of the noise of the pluck; absent: `seed`. */
  readonly attackSeed?: number
  readonly body?: BodyChoice
}

export const idealSetting: StringSetting = { seed: 0, index: 0 }

export interface Component {
  readonly k: number
  readonly polarisation: 1 | 2
  /** Off the string's law. */
  readonly deviationCents: number
  readonly voice: Voice
}

/** The pluck's own stream of that name. */
export const pluckStream = ({ seed, index }: StringSetting, name: string): Random =>
  randomStream(seed, 'pluck', index, name)

/**
 * Rising in k. The level is such that the root mean square over the first second is `rmsOf` it, cross terms between
 * partials left out (under a percent): it does not depend on how long the take is.
 * @throws Problem when not even the first partial fits under 0.45 of the rate.
 */
export function components(pluck: SyntheticPluck, sampleRateHz: number, setting: StringSetting): Component[] {
  const found = shaped(pluck, sampleRateHz, setting)
  const strongest = found.reduce((most, { voice }) => Math.max(most, Math.abs(voice.amplitude)), 0)
  const heard = found.filter(({ voice }) => Math.abs(voice.amplitude) > faintest * strongest)
  const gain = rmsOf(pluck) / Math.sqrt(powerOfAll(heard))
  return heard.map((one) => ({ ...one, voice: { ...one.voice, amplitude: gain * one.voice.amplitude } }))
}

function powerOfAll(all: readonly Component[]): number {
  return all.reduce((sum, { k, polarisation, voice }, i) => {
    const own = sum + powerOf(voice)
    const first = all[i - 1]
    if (polarisation === 1 || first?.k !== k) return own
    const turn = 2 * Math.PI * (voice.frequencyHz - first.voice.frequencyHz)
    return own + 2 * sharedPower(first.voice, voice, turn)
  }, 0)
}

/** At any common level, the faintest included. */
function shaped(pluck: SyntheticPluck, sampleRateHz: number, setting: StringSetting): Component[] {
  const { firstPartialHz, glideCents, lateEarlyRatio, partialLevelsDb, partialDecaysS } = pluck
  const law = stringLaw(pluck)
  const highestHz = (highestShare * sampleRateHz) / pow(2, Math.max(0, glideCents) / 1200)
  const lawRate = decayRates(law)
  const f0Hz = flexibleHz(law)
  const offsetOf = offsets(pluck, setting)
  const amplitudes: number[] = []
  const amplitudeOf = levels(pluck, setting)
  const last = partialLevelsDb?.length ?? Number.POSITIVE_INFINITY
  for (let k = 1; k <= last && partialHz(k, law) <= highestHz; k++) amplitudes.push(amplitudeOf(k))
  if (amplitudes.length === 0) {
    const limit = Math.floor(highestHz)
    throw new Problem(
      `${firstPartialHz} is above ${limit} Hz, the most that ${sampleRateHz} Hz can carry`,
      'firstPartialHz',
    )
  }
  if (partialLevelsDb === undefined) levelFirst(amplitudes, pluck.firstPartialLevelDb)
  return amplitudes.flatMap((amplitude, place): Component[] => {
    const k = place + 1
    const lawHz = partialHz(k, law)
    const listed = partialDecaysS?.[Math.min(place, partialDecaysS.length - 1)]
    const rate = listed === undefined ? lawRate(k) : decaysOf60Db / listed
    const ownCents = offsetOf(k)
    const body = setting.body === undefined ? rigid : bodyEffect(setting.body, k, lawHz, f0Hz)
    const component = (polarisation: 1 | 2, share: number, cents: number, own: number, lost: number): Component => ({
      k,
      polarisation,
      deviationCents: cents,
      voice: {
        frequencyHz: cents === 0 ? lawHz : lawHz * pow(2, cents / 1200),
        amplitude: share * amplitude,
        decayPerS: own + lost,
        phaseRad: 0,
        ...(lateEarlyRatio === 1 ? {} : { lateDecayPerS: own / lateEarlyRatio + lost }),
      },
    })
    const first = component(1, 1, ownCents + body.pullCents, rate, body.decayPerS)
    if (pluck.polMix === 0) return [first]
    return [first, component(2, pluck.polMix, ownCents + pluck.polCents, rate / pluck.polDecay, 0)]
  })
}

const rigid = { pullCents: 0, decayPerS: 0 }

/** Amplitude of partial k at any common level, negative where it starts downwards. To be asked in order. */
function levels(pluck: SyntheticPluck, setting: StringSetting): (k: number) => number {
  const { pickRatio, levelSlopeDb, levelScatterDb, partialLevelsDb } = pluck
  const random = pluckStream(setting, 'level')
  const exponent = levelSlopeDb / -idealSlopeDb
  return (k) => {
    const comb = pickRatio === 0 ? 1 : sin(Math.PI * k * pickRatio)
    if (partialLevelsDb !== undefined) {
      return amplitudeRatioFromDb(partialLevelsDb[k - 1] ?? Number.NEGATIVE_INFINITY) * (comb < 0 ? -1 : 1)
    }
    const plain = levelSlopeDb === idealSlopeDb ? comb / k : comb * pow(k, exponent)
    if (levelScatterDb === 0 || k === 1) return plain
    return plain * amplitudeRatioFromDb(levelScatterDb * random.gaussian())
  }
}

/** Partial 1 as loud as the strongest of all, or that much softer than the strongest of the others. */
function levelFirst(amplitudes: number[], levelDb: number): void {
  const others = amplitudes.slice(1).reduce((most, amplitude) => Math.max(most, Math.abs(amplitude)), 0)
  if (others === 0) return
  if (levelDb < 0) amplitudes[0] = others * amplitudeRatioFromDb(levelDb)
  else if (amplitudes[0] < others) amplitudes[0] = others
}

/** Cents of partial k off the law, but for the body. To be asked in order. */
function offsets(pluck: SyntheticPluck, setting: StringSetting): (k: number) => number {
  const { firstPartialOffsetCents, partialScatterCents, partialOffsetsCents } = pluck
  const random = pluckStream(setting, 'offset')
  return (k) => {
    const listed = partialOffsetsCents?.[k - 1] ?? 0
    if (k === 1) return firstPartialOffsetCents + listed
    return partialScatterCents === 0 ? listed : listed + partialScatterCents * random.gaussian()
  }
}
