/**
 * Every message between a page and its live worker, as unions (messages.ts has those of the tap and the rule for switches).
 *
 * What changes a hundred times a second does not stand here: readings travel in memory (livereadings.ts), or as one posted
 * array of numbers where memory cannot be shared.
 */
import type { Spectrum } from '../core/maths/spectrum.ts'
import type { DisplaySettings } from '../core/methods/displayed.ts'

/** One method to be run: `values` may name only the settings that differ from the defaults. */
export interface LiveChoice {
  readonly id: string
  readonly values: Readonly<Record<string, number>>
  /** Behind which display it is seen; absent: none, its readings come as they are. */
  readonly display?: DisplaySettings
}

/** What the chosen methods are told, besides the rate. */
export interface LiveStream {
  readonly lowestHz: number
  readonly highestHz: number
  /** The note in hand; null: aimed methods cannot be opened. */
  readonly targetHz: number | null
  /** The room's learnt spectrum, or null. */
  readonly room: Spectrum | null
}

export interface LiveMethodStatus {
  readonly id: string
  /** Readings given since this method was chosen. */
  readonly hops: number
  /** Readings left out because the method was thinned. */
  readonly skippedHops: number
  /** Computing per reading in the mean since it was chosen, us. Measured by the clock: other programs' share counts too. */
  readonly busyUs: number
  /** Share of one core over about the last second. */
  readonly load: number
  /** Hops are this many times as long as was asked for; 1: as asked. */
  readonly thinned: number
  /** It could not be opened, or threw: why. null: it runs. */
  readonly problem: string | null
}

export interface LiveStatus {
  /** Samples given to the methods. */
  readonly heardSamples: number
  /** Samples that never arrived: left out by the audio thread, or by a full ring. */
  readonly lostSamples: number
  /** Samples that arrived around a loss and were given to nobody: on which side of it they lie is not known. */
  readonly skippedSamples: number
  /** How often something was lost; every time all methods begin anew. */
  readonly gaps: number
  /** Share of one core of all methods together over about the last second. */
  readonly load: number
  readonly methods: readonly LiveMethodStatus[]
}

export interface Snapshot {
  /** Place of the first sample, counted from the first the tap heard. */
  readonly startSample: number
  /** Unbroken: nothing was lost inside. */
  readonly samples: Float32Array<ArrayBuffer>
}

export type ToLive =
  /** Once, first. `tap`: the tap's own port, now the worker's. `ring` null: samples come as posted blocks. */
  | {
      readonly kind: 'open'
      readonly sampleRateHz: number
      readonly tap: MessagePort
      readonly ring: SharedArrayBuffer | null
      readonly keepS: number
      readonly thin: boolean
    }
  /** `list` numbers the lists; `readings` is the memory for this one's readings, null: they are posted. */
  | {
      readonly kind: 'choose'
      readonly list: number
      readonly chosen: readonly LiveChoice[]
      readonly stream: LiveStream
      readonly readings: SharedArrayBuffer | null
    }
  | { readonly kind: 'snapshot'; readonly ticket: number; readonly lastS: number }
  | { readonly kind: 'close' }

export type FromLive =
  /** Records of `recordNumbers` numbers each (livereadings.ts). */
  | { readonly kind: 'readings'; readonly list: number; readonly records: Float64Array<ArrayBuffer> }
  | { readonly kind: 'status'; readonly list: number; readonly status: LiveStatus }
  /** Said once a method: it gives no readings from here on, the others go on. */
  | {
      readonly kind: 'dropped'
      readonly list: number
      readonly slot: number
      readonly id: string
      readonly what: string
    }
  | { readonly kind: 'snapshot'; readonly ticket: number; readonly snapshot: Snapshot }
  /** Nothing more will be heard. */
  | { readonly kind: 'problem'; readonly what: string }
  | { readonly kind: 'closed' }
