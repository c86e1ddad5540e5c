/**
 * What every noise is: a named thing that fills a take. A noise never handles the ratio in dB: `render` sets the level, so
 * only the shape in time and frequency counts. Adding one = one file and one line in index.ts.
 */
import type { Fields, Values } from '../../fields.ts'
import type { Random } from '../../maths/random.ts'
import type { Pluck, Recording } from '../scene.ts'

export interface NoiseSetting<F extends Fields = Fields> {
  readonly sampleRateHz: number
  /** This noise's own stream. */
  readonly random: Random
  readonly values: Values<F>
  /** The last pluck of the scene, for noises that sound near its pitch; null: there is none. */
  readonly pluck: Pluck | null
  /** First onset, from the start of the take. */
  readonly onsetS: number
  /** The note in hand, Hz, whatever is plucked: a neighbour plays it all the same. null or absent: nobody has said. */
  readonly targetHz?: number | null
  /** Already at `sampleRateHz`; null unless the noise is `recorded`. */
  readonly recording: Recording | null
}

/** How a noise reaches the place where the method listens: through the air, through the instrument's wood, or by wire. */
export type NoisePath = 'air' | 'body' | 'wire'

export interface Noise<F extends Fields = Fields> {
  /** Kebab-case; never changes its meaning: a changed noise gets a new id. */
  readonly id: string
  readonly title: string
  readonly source: string
  readonly fields: F
  /** It plays a Recording, which must be named. */
  readonly recorded?: boolean
  /** Absent: through the air. */
  readonly path?: NoisePath
  /** `target` is all zeros on entry, one value a sample of the take. Any scale; stationary noises are so from the first sample. */
  fill(target: Float64Array, setting: NoiseSetting<F>): void
}

/** Keeps the field types while the list holds noises of all kinds. */
export function noise<F extends Fields>(description: Noise<F>): Noise {
  return description as unknown as Noise
}
