/** Figures of a take's parts, asked of a worker: the page's thread draws meanwhile. Orders are answered in turn. */

import type { Stream } from '../../core/methods/method.ts'
import type { ClockFigures } from '../../core/room/clockrate.ts'
import type { NoiseFigures } from '../../core/room/noisetake.ts'
import type { RoomString } from '../../core/room/roomstring.ts'
import type { SteadyToneFigures } from '../../core/room/steadytone.ts'
import type { StringFigures } from '../../core/room/stringfigures.ts'
import type { FoundString } from '../../core/room/stringfinder.ts'
import type { Verdict } from '../../core/room/verdict.ts'
import type { LiveChoice } from '../../host/livemessages.ts'

export type FiguresOrder =
  | {
      readonly kind: 'noise'
      readonly take: string
      readonly samples: Float32Array
      readonly sampleRateHz: number
      readonly strings: readonly RoomString[]
    }
  /** After the noise of the same take. */
  | {
      readonly kind: 'string'
      readonly take: string
      readonly samples: Float32Array
      readonly sampleRateHz: number
      readonly string: RoomString
    }
  | {
      readonly kind: 'replay'
      readonly samples: Float32Array
      readonly stream: Stream
      readonly methods: readonly LiveChoice[]
    }
  | {
      readonly kind: 'input-check'
      readonly samples: Float32Array
      readonly sampleRateHz: number
      /** Where the tone is; null: wherever it stands out, or at `known`. */
      readonly nearHz: number | null
      readonly known: { readonly hz: number; readonly ppm: number } | null
      readonly sourceGoesOn: boolean
    }

export interface TrackPoint {
  readonly atS: number
  readonly f0Hz: number
}

export type FiguresAnswer =
  | { readonly kind: 'noise'; readonly noise: NoiseFigures }
  | {
      readonly kind: 'string'
      readonly figures: StringFigures
      readonly verdict: Verdict
      readonly found: FoundString
    }
  | { readonly kind: 'replay'; readonly tracks: readonly (readonly TrackPoint[])[] }
  /** null: no tone stands over the room; the clock was not asked for, or the tone was too short for it. */
  | { readonly kind: 'input-check'; readonly tone: SteadyToneFigures | null; readonly clock: ClockFigures | null }
  | { readonly kind: 'problem'; readonly what: string }

let worker: Worker | null = null
let ticket = 0
const waiting = new Map<number, (answer: FiguresAnswer) => void>()

/** Never rejects: what went wrong is an answer. */
export function figuresOf(order: FiguresOrder): Promise<FiguresAnswer> {
  if (worker === null) {
    worker = new Worker(new URL('./figures.worker.ts', import.meta.url), { type: 'module' })
    worker.onmessage = ({ data }: MessageEvent<{ readonly ticket: number; readonly answer: FiguresAnswer }>) => {
      waiting.get(data.ticket)?.(data.answer)
      waiting.delete(data.ticket)
    }
    worker.onerror = ({ message }) => {
      for (const answer of waiting.values()) answer({ kind: 'problem', what: message || 'the worker stopped' })
      waiting.clear()
      worker?.terminate()
      worker = null
    }
  }
  ticket++
  const asked = ticket
  return new Promise((resolve) => {
    waiting.set(asked, resolve)
    worker?.postMessage({ ticket: asked, order })
  })
}
