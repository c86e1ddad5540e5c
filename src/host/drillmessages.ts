/** Every message between a page and its drill worklets, as unions (messages.ts has the rule for switches). */
import type { LiveCommand, LiveSetup } from '../core/drill/liveplucks.ts'

export interface DrillStringOptions {
  /** At the context's own rate. */
  readonly setup: Omit<LiveSetup, 'sampleRateHz'>
  /** Obeyed from the first sample on: an offline context hears no messages in time. */
  readonly commands: readonly LiveCommand[]
}

export type ToDrillString = LiveCommand | { readonly kind: 'close' }

export interface FromDrillString {
  readonly kind: 'problem'
  readonly what: string
}
