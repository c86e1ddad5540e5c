/**
 * What every pitch-detection method is: a named thing that opens on a stream and answers readings.
 *
 * A method hears samples and knows its stream; it cannot see the truth (this folder may not import scene).
 * `push` takes blocks of any length: 128-sample quanta, whole files and odd cuts give identical readings.
 */
import type { Fields, Values } from '../fields.ts'
import type { Spectrum } from '../maths/spectrum.ts'

export interface Reading {
  /** The evidence, half open, in samples from the start of the stream. Latency and bound follow from it. */
  fromSample: number
  toSample: number
  /** The instant the estimate speaks of. */
  atSample: number
  /** NaN: the method declines. */
  f0Hz: number
  /** 0..1, comparable only within one method. */
  confidence: number
  /** The method's own standard deviation in cents; NaN: makes no claim. */
  spreadCents: number
}

/** What a method is told about its stream. */
export interface Stream {
  readonly sampleRateHz: number
  readonly lowestHz: number
  readonly highestHz: number
  /** The note in hand, for aimed methods; null for blind ones. */
  readonly targetHz: number | null
  /** One-sided noise power density of the room, if it was learnt. */
  readonly room: Spectrum | null
}

/** What pitches were worth to a method. */
export interface Weighing {
  /** Rising or falling throughout. */
  readonly hz: Float64Array
  /** A high one is taken. */
  readonly scores: Float64Array
}

export interface Listener {
  /**
   * Hears the next samples and emits the readings they complete. Never throws for data. The reading object may be
   * reused: whoever keeps one copies it.
   */
  push(samples: Float32Array, emit: (reading: Readonly<Reading>) => void): void
  /**
   * What the last reading was chosen from, for a look at it afterwards; null: it compared nothing. Absent: the method cannot be asked,
   * or its curve is drawn from the reading's evidence alone (pitchcurve.ts). Allocates; later readings stay the same.
   */
  weigh?(): Weighing | null
}

export interface Method<F extends Fields = Fields> {
  /** Kebab-case; never changes its meaning: a changed method gets a new id. */
  readonly id: string
  readonly title: string
  /** Authors, year, where; or "own". */
  readonly source: string
  /** Blind methods know a range; aimed ones are told the note and search within 150 c of it. */
  readonly family: 'blind' | 'aimed'
  readonly fields: F
  /** @throws Problem when the stream or the values cannot be used (an aimed method without a target, a window too short). */
  open(stream: Stream, values: Values<F>): Listener
}

/** Keeps the field types while the list holds methods of all kinds. */
export function method<F extends Fields>(description: Method<F>): Method {
  return description as unknown as Method
}
