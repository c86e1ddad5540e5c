/**
 * What a scene is, before anything sounds: plucks of strings, noises at a ratio, or a room of several noises summed and
 * then set at one ratio. Plain JSON. Absent fields mean zero effect: a bare pluck is an ideal stiff string for ever.
 *
 * The string side is pluck and everything the pluck causes; the noise side is everything else. take = clean + noise.
 */
import type { Field, Values } from '../fields.ts'

/**
 * Partial k of a pluck sounds at k f0 sqrt(1 + B k^2), where f0 = firstPartialHz / sqrt(1 + B)
 * (Fletcher 1964, JASA 36:203-209; the constants are checked in tests/reference).
 */
export const pluckFields = {
  onsetS: { default: 0, min: 0, max: 600, unit: 's', help: 'When the string is let go, from the start of the take.' },
  firstPartialHz: { default: 110, min: 15, max: 5000, unit: 'Hz', help: 'First partial of the settled string.' },
  stiffness: {
    default: 0,
    min: 0,
    max: 0.01,
    unit: 'ratio',
    help: 'B of the stiff-string law; 0 is a flexible string.',
  },
  decayS: {
    default: Number.POSITIVE_INFINITY,
    min: 0.02,
    max: Number.POSITIVE_INFINITY,
    unit: 's',
    help: 'Time in which partial 1 falls by 60 dB; absent: it sounds for ever.',
  },
  highDecayRatio: {
    default: 1,
    min: 0.05,
    max: 2,
    unit: 'ratio',
    help: 'Decay time of partials 4 to 7 over that of partial 1; a power law in k joins them.',
  },
  pickRatio: {
    default: 0,
    min: 0,
    max: 0.5,
    unit: 'ratio',
    help: 'Where the string is plucked, as a part of its length from the bridge; 0: no partial is weakened by it.',
  },
  glideCents: { default: 0, min: -50, max: 50, unit: 'c', help: 'How far above its settled pitch the string starts.' },
  glideS: { default: 0.15, min: 0.01, max: 5, unit: 's', help: 'Time constant with which the glide dies away.' },
} as const satisfies Record<string, Field>

/** A synthetic pluck, all fields filled. */
export type SyntheticPluck = Values<typeof pluckFields> & { readonly recording?: undefined }

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
}

export interface Scene {
  readonly sampleRateHz: number
  readonly durationS: number
  readonly seed: number
  readonly plucks: readonly Pluck[]
  /** Each noise set at its own ratio: 10 lg of mean squares, string side over this noise, over the first 1.0 s after the onset. */
  readonly noises: readonly (NoiseChoice & { readonly snrDb: number })[]
  /** Noises that are summed first and then set at `snrDb` together; null: none. */
  readonly room: { readonly parts: readonly RoomPart[]; readonly snrDb: number } | null
  /** The pluck only sets the level of the noises and is then taken away. */
  readonly noString: boolean
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

/** One partial as it stands at the onset. */
export interface Partial {
  readonly k: number
  /** Settled frequency (after the glide), Hz. */
  readonly frequencyHz: number
  /** Peak amplitude at the onset in take units. */
  readonly amplitude: number
  /** Amplitude falls as exp(-decayPerS t); 6.91 / T60. 0: for ever. */
  readonly decayPerS: number
}

/** What the string really does, for scoring. Of the last pluck when there are several. */
export interface Truth {
  readonly onsetS: number
  /** Settled first partial of the string's law, Hz: what a technician tunes. */
  readonly settledHz: number
  /** The first partial over time from the onset on, every 10 ms. */
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
