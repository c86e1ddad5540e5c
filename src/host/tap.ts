/**
 * Listens to a node of an audio context and offers its samples to a reader on this thread or, with a ring, on any thread.
 *
 * Shared memory is used where the page is isolated; elsewhere blocks are posted. Samples and the count of losses are the
 * same either way.
 */
import type { BlockSource } from './blocks.ts'
import { type Channel, type FromTap, type TapOptions, type ToTap, unknownKind } from './messages.ts'
import { loadWorklet } from './player.ts'
import { PostedBlocks } from './posted.ts'
import { RingReader, ringBytes } from './ring.ts'

/** A hidden tab's timers run once a second; what reads may be that late twice over. */
const capacityS = 4
/** Posted blocks of some 20 ms: 47 messages a second at 48 kHz. */
const blockSamples = 1024

export interface Tap {
  readonly source: BlockSource
  /** The ring's memory, for a RingReader on another thread instead of `source`; null: blocks are posted. */
  readonly ring: SharedArrayBuffer | null
  /** Called at most once: nothing comes from then on. */
  onProblem(handler: (what: string) => void): void
  /** Hands over what is still held back, then ends; afterwards `source` holds all there will be. */
  stop(): Promise<void>
}

export interface TapSettings {
  readonly channel: Channel
  /** Use shared memory; default: where the page is isolated. */
  readonly shared?: boolean
  /** How far the reader may fall behind before samples are lost, s. */
  readonly capacityS?: number
}

/** A tap's node, connected, and the memory it writes to; who owns the node's port reads and answers it. */
export interface TapNode {
  readonly node: AudioWorkletNode
  readonly ring: SharedArrayBuffer | null
}

/** @throws Problem when the worklet cannot be loaded. */
export async function connectTap(workletUrl: string, input: AudioNode, settings: TapSettings): Promise<TapNode> {
  const { context } = input
  await loadWorklet(context, workletUrl)
  const capacitySamples = Math.ceil((settings.capacityS ?? capacityS) * context.sampleRate)
  const shared = settings.shared ?? globalThis.crossOriginIsolated === true
  const ring = shared ? new SharedArrayBuffer(ringBytes(capacitySamples)) : null
  const processorOptions: TapOptions = {
    channel: settings.channel,
    ring,
    blockSamples,
    blocks: Math.ceil(capacitySamples / blockSamples) + 1,
  }
  const node = new AudioWorkletNode(context, 'tap', { numberOfOutputs: 0, processorOptions })
  input.connect(node)
  return { node, ring }
}

/**
 * @param workletUrl address of the compiled worklets/tap.ts
 * @throws Problem when the worklet cannot be loaded.
 */
export async function openTap(workletUrl: string, input: AudioNode, settings: TapSettings): Promise<Tap> {
  const { node, ring } = await connectTap(workletUrl, input, settings)
  const posted = new PostedBlocks((message, transfer) => node.port.postMessage(message, transfer))
  let end: () => void = () => {}
  const ended = new Promise<void>((resolve) => {
    end = resolve
  })
  let problem: (what: string) => void = () => {}
  const fail = (what: string) => {
    problem(what)
    end()
  }
  node.port.onmessage = ({ data }: MessageEvent<FromTap>) => {
    if (data.kind === 'block') posted.take(data)
    else if (data.kind === 'stopped') {
      posted.take(data)
      end()
    } else fail(data.kind === 'problem' ? data.what : unknownKind(data))
  }
  node.onprocessorerror = () => fail('the tap stopped')
  return {
    source: ring === null ? posted : new RingReader(ring),
    ring,
    onProblem(handler) {
      problem = handler
    },
    async stop() {
      node.port.postMessage({ kind: 'stop' } satisfies ToTap)
      await ended
      input.disconnect(node)
    },
  }
}
