/**
 * Every message between threads, as unions: study workers, the player worklet and the tap worklet.
 *
 * Whoever receives one switches over `kind` and ends in `unknownKind`, so that a kind without an answer does not compile
 * and, should one come at run time all the same, is answered by name. What travels is data: arrays, never functions.
 */
import type { Recording } from '../core/scene/scene.ts'
import type { Study } from '../core/study/study.ts'
import type { Replay, TrialRun } from '../core/study/trial.ts'

/** What went wrong, in the shape of a Problem that can travel. */
export interface Trouble {
  readonly what: string
  readonly where: string
}

export type ToWorker =
  | { readonly kind: 'open'; readonly study: Study; readonly recordings: readonly Recording[] }
  | { readonly kind: 'run'; readonly index: number }
  | { readonly kind: 'replay'; readonly index: number }

export type FromWorker =
  | { readonly kind: 'opened'; readonly trialCount: number }
  | { readonly kind: 'ran'; readonly index: number; readonly run: TrialRun }
  | { readonly kind: 'replayed'; readonly index: number; readonly replay: Replay }
  /** `index` null: the study itself cannot be opened. */
  | { readonly kind: 'failed'; readonly index: number | null; readonly problem: Trouble }

/** Which side of a take is heard. */
export type Part = 'string' | 'noise' | 'mix'

/** The two sides of a take, equally long, at the rate of the audio context. */
export interface TakeParts {
  readonly string: Float32Array
  readonly noise: Float32Array
}

export interface PlayerOptions extends TakeParts {
  readonly part: Part
  /** Length of every fade, samples; 0: none, and the output is the take sample for sample. */
  readonly rampSamples: number
  /** Plays from its first sample on; otherwise it waits for `play`. */
  readonly playing: boolean
}

export type ToPlayer =
  | { readonly kind: 'play'; readonly fromSample: number }
  | { readonly kind: 'pause' }
  | { readonly kind: 'hear'; readonly part: Part }
  | { readonly kind: 'loop'; readonly on: boolean }
  | { readonly kind: 'close' }

export type FromPlayer =
  | { readonly kind: 'at'; readonly sample: number; readonly playing: boolean }
  | { readonly kind: 'problem'; readonly what: string }

/** Which channel of the input is heard: capture may come with two whatever was asked for. */
export type Channel = 'left' | 'right' | 'mix'

export interface TapOptions {
  readonly channel: Channel
  /** Memory of a ring; null: blocks are posted. */
  readonly ring: SharedArrayBuffer | null
  /** Posted blocks: how long one is, samples, and how many there are. */
  readonly blockSamples: number
  readonly blocks: number
}

export type ToTap =
  /** A posted block comes home empty and may be filled again. */
  { readonly kind: 'return'; readonly samples: Float32Array<ArrayBuffer> } | { readonly kind: 'stop' }

export type FromTap =
  /** The first `count` samples are meant; `lostSamples` counts all that were lost so far. */
  | {
      readonly kind: 'block'
      readonly samples: Float32Array<ArrayBuffer>
      readonly count: number
      readonly lostSamples: number
    }
  /** Nothing more will come. */
  | { readonly kind: 'stopped'; readonly lostSamples: number }
  | { readonly kind: 'problem'; readonly what: string }

/** The sentence for a message that nobody here knows; the parameter's type makes a forgotten kind a compile error. */
export function unknownKind(message: never): string {
  const kind: unknown = (message as { kind?: unknown } | null)?.kind
  return `no such message: ${JSON.stringify(kind) ?? typeof message}`
}
