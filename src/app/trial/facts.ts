/** Figures of one trial that need its samples: ratios as the string fades, ratios by partial, the bound at first sight. */
import { densityAt, type Spectrum } from '../../core/maths/spectrum.ts'
import { dbFromPowerRatio } from '../../core/maths/units.ts'
import type { Partial, Rendered } from '../../core/scene/scene.ts'
import { openBound } from '../../core/score/bound.ts'
import { boundSignalOf } from '../../core/study/boundsignal.ts'
import { meanPower } from '../../core/study/fading.ts'
import type { Replay } from '../../core/study/trial.ts'

export interface RatioAt {
  /** After the pluck. */
  readonly atS: number
  /** NaN without a string, or past the end of the take. */
  readonly ratioDb: number
}

export interface PartialRatio {
  readonly k: number
  readonly hz: number
  readonly ratioDb: number
}

/** A tenth of a second holds several periods of the lowest string and still tells one moment from the next. */
const windowS = 0.1
const momentsS = [0.2, 0.5, 1]
/** Ratios are over the first second, as everywhere. */
const ratioS = 1
/** The string's power against the room's within 50 c of the partial. */
const aroundCents = 50

/** Measured on the rounded samples over the first second; NaN without a string. */
export const wholeRatioDb = (rendered: Rendered): number =>
  ratioDb(rendered, rendered.take.truth?.onsetS ?? 0, (rendered.take.truth?.onsetS ?? 0) + ratioS)

export function ratiosOverTime(rendered: Rendered): readonly RatioAt[] {
  const onsetS = rendered.take.truth?.onsetS ?? 0
  const endS = rendered.take.samples.length / rendered.take.sampleRateHz
  return momentsS.map((atS) => {
    const toS = onsetS + atS + windowS / 2
    // The last window of a take that ends at this very moment ends there too.
    const fits = onsetS + atS <= endS + 1e-9
    return { atS, ratioDb: fits ? ratioDb(rendered, onsetS + atS - windowS / 2, Math.min(toS, endS)) : Number.NaN }
  })
}

function ratioDb({ clean, noise, take }: Rendered, fromS: number, toS: number): number {
  const from = Math.max(0, Math.round(fromS * take.sampleRateHz))
  const to = Math.min(clean.length, Math.round(toS * take.sampleRateHz))
  let [string, room] = [0, 0]
  for (let i = from; i < to; i++) {
    string += clean[i] * clean[i]
    room += noise[i] * noise[i]
  }
  return string > 0 && room > 0 ? dbFromPowerRatio(string / room) : Number.NaN
}

/** Empty for a recorded string, whose partials nobody knows. */
export function partialRatios(partials: readonly Partial[], room: Spectrum, most: number): readonly PartialRatio[] {
  // The two polarisations of a partial are heard as one.
  const numbers = [...new Set(partials.map(({ k }) => k))].filter((k) => k <= most)
  return numbers.map((k) => {
    const heard = partials.filter((partial) => partial.k === k)
    const hz = heard[0]?.frequencyHz ?? Number.NaN
    const power = heard.reduce((sum, partial) => sum + meanPower(partial, ratioS), 0)
    const widthHz = hz * (2 ** (aroundCents / 1200) - 2 ** (-aroundCents / 1200))
    return { k, hz, ratioDb: dbFromPowerRatio(power / (densityAt(room, hz) * widthHz)) }
  })
}

/** Stiffness-known bound over the first `windowOfS` of the string; NaN without a synthetic string. */
export function firstBoundCents({ scene, rendered, room }: Replay, windowOfS: number): number {
  const pluck = scene.plucks[0]
  if (scene.noString || pluck === undefined || pluck.recording !== undefined) return Number.NaN
  return openBound(boundSignalOf(pluck, rendered.partials), room).sdCents(0, windowOfS)
}
