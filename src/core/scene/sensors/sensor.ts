/**
 * What every sensor is: a named, linear way from the sound of a scene to the place where the method listens. It acts on
 * either side; the ratio is set behind it. Adding one = one file and one line in index.ts.
 *
 * Gains are relative: only the difference between paths and the shape over frequency count, since each side is scaled
 * afterwards. Filters start at rest, so the first tenth of a second of a noise side is still growing; takes begin with a
 * lead of half a second. A recorded string has been through a sensor already and should not be sent through another.
 */
import type { Fields, Values } from '../../fields.ts'
import type { Random } from '../../maths/random.ts'
import type { NoisePath } from '../noises/noise.ts'

/** `string`: strings of this instrument, those that the stage drives included. The others are the ways of a noise. */
export type SoundPath = 'string' | NoisePath

export interface SensorContext<F extends Fields = Fields> {
  readonly sampleRateHz: number
  readonly values: Values<F>
  readonly path: SoundPath
  /** First partial of the string in `sound`, Hz, where one string sounds alone; null: none or several. */
  readonly stringHz: number | null
}

export interface Sensor<F extends Fields = Fields> {
  /** Kebab-case; never changes its meaning: a changed sensor gets a new id. */
  readonly id: string
  readonly title: string
  readonly source: string
  readonly fields: F
  /** Filters `sound` in place. Linear: sounds may be summed before or after. */
  apply(sound: Float64Array, context: SensorContext<F>): void
  /** What it adds to the noise side by itself, such as hum; absent: nothing. */
  readonly own?: {
    /** Mean square re that of the string side behind the sensor, dB. */
    levelDb(values: Values<F>): number
    /** `target` is all zeros on entry. Any scale; goes through no filter any more. */
    fill(
      target: Float64Array,
      context: { readonly sampleRateHz: number; readonly values: Values<F>; readonly random: Random },
    ): void
  }
}

/** Keeps the field types while the list holds sensors of all kinds. */
export function sensor<F extends Fields>(description: Sensor<F>): Sensor {
  return description as unknown as Sensor
}

/** A sensor with its settings. */
export interface SensorChoice {
  readonly id: string
  readonly values: Readonly<Record<string, number>>
}
