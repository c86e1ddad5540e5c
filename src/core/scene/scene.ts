/**
 * What a scene is, before anything sounds: plucks of strings, noises at a ratio, or a room of several noises summed and
 * then set at one ratio. Plain JSON. Absent fields mean zero effect: a bare pluck is an ideal stiff string for ever.
 *
 * The string side is pluck and everything the pluck causes; the noise side is everything else. take = clean + noise.
 */
import type { Values } from '../fields.ts'
import type { BodyChoice } from './body.ts'
import type { Kind } from './kinds.ts'
import type { Neighbours } from './neighbours.ts'
import { pluckFields } from './pluckfields.ts'
import type { SensorChoice } from './sensors/sensor.ts'

export { pluckFields }

/** Measured partials, k = 1 first, in place of what the fields would make of them. */
export interface PartialLists {
  /** Amplitudes at the onset re any common level. The string has no partials beyond the list; signs stay the pick's. */
  readonly partialLevelsDb?: readonly number[]
  /** T60 before the knee; the last one holds for all beyond. */
  readonly partialDecaysS?: readonly number[]
  /** Off the law; partials beyond the list are on it. */
  readonly partialOffsetsCents?: readonly number[]
}

/** A synthetic pluck, all fields filled. */
export type SyntheticPluck = Values<typeof pluckFields> &
  PartialLists & {
    readonly recording?: undefined
    /** Whose usual values stand where the scene file gave none. Has no effect of its own any more. */
    readonly kind?: Kind
  }

/** A recorded pluck: its first sample of sound is laid on `onsetS`. */
export interface RecordedPluck {
  readonly onsetS: number
  /** Id of a Recording that the host hands to `render`. */
  readonly recording: string
}

export type Pluck = SyntheticPluck | RecordedPluck

/** One noise of a scene or a room. `values` belong to the noise's own fields. */
export interface NoiseChoice {
  readonly id: string
  readonly values: Readonly<Record<string, number>>
  /** Id of a Recording, for the noise `recorded` only. */
  readonly recording?: string
}

/** A room: noises summed at weights `levelDb` (power, relative to each other), then set at one ratio. */
export interface RoomPart extends NoiseChoice {
  readonly levelDb: number
  /**
   * For the noise `recorded`: level and ratio are those of the recording as a whole, and the second of a pluck is louder or softer
   * than that, as it was. Heeded where all parts of a room say so.
   */
  readonly asRecorded?: true
}

export interface Scene {
  readonly sampleRateHz: number
  readonly durationS: number
  readonly seed: number
  /** Seed of what is drawn for the string side (scatter, pluck noise, detuned neighbours); absent: `seed`. */
  readonly stringSeed?: number
  /** Seed of the noise of the plucks themselves, where one string is plucked again and again; absent: the string's. */
  readonly attackSeed?: number
  readonly plucks: readonly Pluck[]
  /** Each noise set at its own ratio: 10 lg of mean squares, string side over this noise, over the first 1.0 s after the onset. */
  readonly noises: readonly (NoiseChoice & { readonly snrDb: number })[]
  /** Noises that are summed first and then set at `snrDb` together; null: none. */
  readonly room: { readonly parts: readonly RoomPart[]; readonly snrDb: number } | null
  /** The pluck only sets the level of the noises and is then taken away. */
  readonly noString: boolean
  /** What the strings end on; absent: rigid. */
  readonly body?: BodyChoice
  /** The instrument's other strings; absent: there are none. */
  readonly neighbours?: Neighbours
  /** Through what both sides are heard; absent: as they are. */
  readonly sensor?: SensorChoice
  /** The note in hand, Hz, for noises that sound near it; absent: the pitch of the last pluck. */
  readonly targetHz?: number
}

/** Sound that came from outside, mono. The core never opens files: hosts read them and hand them over. */
export interface Recording {
  readonly id: string
  readonly sampleRateHz: number
  readonly samples: Float32Array
  /** Where the pluck begins, for recorded strings; NaN for noises. */
  readonly onsetS: number
  /** First partial of the law fitted to its partials, Hz; NaN when nobody measured it. Not better known than a cent or two. */
  readonly f1Hz: number
}
export type Recordings = ReadonlyMap<string, Recording>

/** One partial as it stands at the onset; each polarisation is one of its own. */
export interface Partial {
  readonly k: number
  /** Settled frequency (after the glide), Hz. */
  readonly frequencyHz: number
  /** Peak amplitude at the onset in take units. */
  readonly amplitude: number
  /** Amplitude falls as exp(-decayPerS t); 6.91 / T60. 0: for ever. */
  readonly decayPerS: number
  /** The same from 0.4 s after the onset on; absent: no different. */
  readonly lateDecayPerS?: number
  /** Off the string's law; absent: on it. */
  readonly deviationCents?: number
  /** Absent: the first. */
  readonly polarisation?: 2
}

/** What the string really does, for scoring. Of the last pluck when there are several. */
export interface Truth {
  readonly onsetS: number
  /** First partial of the law that fits the first six partials best, once the glide is over, Hz: what a technician tunes. */
  readonly settledHz: number
  /** The same while the glide lives, from the onset on, every 10 ms. */
  readonly track: readonly { readonly timeS: number; readonly f0Hz: number }[]
}

export interface Take {
  readonly sampleRateHz: number
  readonly samples: Float32Array
  /** null: nobody knows. A take without a string has a truth all the same: that of the pluck which was taken away. */
  readonly truth: Truth | null
}

export interface Rendered {
  readonly take: Take
  /** String side, which is also the quiet twin. All zero with `noString`. */
  readonly clean: Float32Array
  readonly noise: Float32Array
  /** Of the last pluck; empty for a recorded one. */
  readonly partials: readonly Partial[]
}
