/** Worker side of what hears an input: drains the capture tap every 20 ms, whatever the page is doing, and tells the level. */
import type { LevelMeter } from '../../core/room/levelmeter.ts'
import type { BlockSource } from '../../host/blocks.ts'
import type { FromTap } from '../../host/messages.ts'
import { PostedBlocks } from '../../host/posted.ts'
import { RingReader } from '../../host/ring.ts'

/** Once, first. `tap`: the tap's own port, now the worker's. `ring` null: samples come as posted blocks. */
export interface HeardTap {
  readonly kind: 'open'
  readonly sampleRateHz: number
  readonly tap: MessagePort
  readonly ring: SharedArrayBuffer | null
}

export interface HeardLevel {
  /** Highest since the last reset, dB of full scale. */
  readonly peakDb: number
  /** dB of a full-scale sine. */
  readonly rmsDb: number
  /** Lowest of the last ten seconds, likewise. */
  readonly floorDb: number
  readonly overloaded: boolean
  readonly lostSamples: number
}

export type FromEars =
  | { readonly kind: 'level'; readonly level: HeardLevel }
  | { readonly kind: 'problem'; readonly what: string }

/** What the tap's sound goes to. */
export interface Ears {
  /** Pushed to by `push`. */
  readonly meter: LevelMeter
  /** `lostSamples`: all that were lost so far. Never throws for data. */
  push(samples: Float32Array, lostSamples: number): void
}

/** A worker's own side of its messages. */
export interface EarsScope<To, From> {
  postMessage(message: From, transfer?: Transferable[]): void
  onmessage: ((event: MessageEvent<To>) => void) | null
}

const beatMs = 20
/** Ten times a second: no eye follows more. */
const beatsPerLevel = 5
const floorLevels = 100
/** A tenth of a second at the highest rate. */
const blockSamples = 19_200

/** For as long as the worker lives. */
export function hearTap({ tap, ring }: HeardTap, ears: Ears, post: (message: FromEars) => void): void {
  const source = openSource(tap, ring, post)
  const block = new Float32Array(blockSamples)
  const lately: number[] = []
  let beats = 0
  setInterval(() => {
    for (let count = source.read(block); count > 0; count = source.read(block)) {
      ears.push(block.subarray(0, count), source.lostSamples)
    }
    beats++
    if (beats % beatsPerLevel !== 0) return
    const { peakDb, rmsDb, overloaded } = ears.meter
    lately.push(rmsDb)
    if (lately.length > floorLevels) lately.shift()
    const level = { peakDb, rmsDb, floorDb: Math.min(...lately), overloaded, lostSamples: source.lostSamples }
    post({ kind: 'level', level })
  }, beatMs)
}

function openSource(tap: MessagePort, ring: SharedArrayBuffer | null, post: (message: FromEars) => void): BlockSource {
  const posted = new PostedBlocks((message, transfer) => tap.postMessage(message, transfer))
  tap.onmessage = ({ data }: MessageEvent<FromTap>) => {
    if (data.kind === 'block' || data.kind === 'stopped') posted.take(data)
    else post({ kind: 'problem', what: data.kind === 'problem' ? data.what : 'the tap was not understood' })
  }
  return ring === null ? posted : new RingReader(ring)
}

/** What cannot be obeyed is told, and the worker goes on. */
export function obeyWith<To>(scope: EarsScope<To, FromEars>, obey: (message: To) => void): void {
  scope.onmessage = ({ data }) => {
    try {
      obey(data)
    } catch (cause) {
      scope.postMessage({ kind: 'problem', what: cause instanceof Error ? cause.message : String(cause) })
    }
  }
}
