/**
 * Methods side by side on a live sound: from any node of an audio context through a tap to a worker, and their newest
 * readings back in memory. The page's thread carries nothing but a drawing of them.
 *
 * The tap's port is handed to the worker, so posted blocks too go from the audio thread to the worker directly. With or
 * without shared memory the methods hear the same samples and give the same readings.
 */
import { Problem } from '../core/problem.ts'
import type { FromLive, LiveChoice, LiveStatus, LiveStream, Snapshot } from './livemessages.ts'
import type { LivePort } from './liveport.ts'
import { ReadingsReader, ReadingsWriter, readingsBytes } from './livereadings.ts'
import { type Channel, unknownKind } from './messages.ts'
import { connectTap } from './tap.ts'

/** Long enough for a pluck, its turning and the next pluck. */
const keepS = 20
/** The worker itself waits half a second for its tap. */
const closeMs = 1000

export interface LiveSettings {
  readonly channel: Channel
  /** Use shared memory; default: where the page is isolated. */
  readonly shared?: boolean
  /** How much of what was heard is kept, s. */
  readonly keepS?: number
  /** Thin the most expensive methods when all together take over 80 % of a core; default: yes. */
  readonly thin?: boolean
}

export interface DroppedMethod {
  readonly id: string
  /** Its place in the list that was chosen last. */
  readonly slot: number
  readonly what: string
}

export interface Live {
  readonly sampleRateHz: number
  /** Memory is shared; else blocks are posted. */
  readonly shared: boolean
  /**
   * Runs these from now on; what ran before with the same settings goes on unbroken. The reader has a slot a method, in
   * the order of `chosen`; readers of earlier lists stand still.
   */
  choose(chosen: readonly LiveChoice[], stream: LiveStream): ReadingsReader
  /** About four times a second. */
  onStatus(handler: (status: LiveStatus) => void): void
  /** Once a method that cannot go on. */
  onDropped(handler: (dropped: DroppedMethod) => void): void
  /** Called at most once: nothing is heard from then on. */
  onProblem(handler: (what: string) => void): void
  /** The last seconds of what was heard, unbroken; null: it was closed meanwhile. */
  snapshot(lastS: number): Promise<Snapshot | null>
  /** Hears what is still under way, tells the status once more and ends. May be called twice. */
  close(): Promise<void>
}

/**
 * @param workletUrl address of the compiled worklets/tap.ts
 * @throws Problem when the worklet cannot be loaded.
 */
export async function openLive(
  workletUrl: string,
  input: AudioNode,
  spawn: () => LivePort,
  settings: LiveSettings,
): Promise<Live> {
  const { node, ring } = await connectTap(workletUrl, input, settings)
  const { sampleRate } = input.context
  const port = spawn()
  let list = -1
  let posted: ReadingsWriter | null = null
  let ticket = 0
  const waiting = new Map<number, (snapshot: Snapshot | null) => void>()
  let status: (status: LiveStatus) => void = () => {}
  let dropped: (dropped: DroppedMethod) => void = () => {}
  let problem: ((what: string) => void) | null = () => {}
  let closed: () => void = () => {}
  let closing: Promise<void> | null = null

  const fail = (what: string) => {
    problem?.(what)
    problem = null
  }

  const end = () => {
    port.terminate()
    input.disconnect(node)
    for (const resolve of waiting.values()) resolve(null)
    waiting.clear()
  }

  port.onMessage((message: FromLive) => {
    switch (message.kind) {
      case 'readings':
        if (message.list === list) posted?.writeRecords(message.records)
        return
      case 'status':
        if (message.list === list) status(message.status)
        return
      case 'dropped':
        if (message.list === list) dropped({ id: message.id, slot: message.slot, what: message.what })
        return
      case 'snapshot':
        waiting.get(message.ticket)?.(message.snapshot)
        waiting.delete(message.ticket)
        return
      case 'problem':
        return fail(message.what)
      case 'closed':
        return closed()
      default:
        return fail(unknownKind(message))
    }
  })
  port.onError((what) => {
    fail(what)
    closed()
  })
  node.onprocessorerror = () => fail('the tap stopped')
  port.post(
    {
      kind: 'open',
      sampleRateHz: sampleRate,
      tap: node.port,
      ring,
      keepS: settings.keepS ?? keepS,
      thin: settings.thin ?? true,
    },
    [node.port],
  )

  return {
    sampleRateHz: sampleRate,
    shared: ring !== null,
    choose(chosen, stream) {
      if (closing !== null) throw new Problem('it is closed', '')
      list++
      const bytes = readingsBytes(chosen.length)
      const memory = ring === null ? new ArrayBuffer(bytes) : new SharedArrayBuffer(bytes)
      posted = memory instanceof ArrayBuffer ? new ReadingsWriter(memory, chosen.length) : null
      const readings = memory instanceof ArrayBuffer ? null : memory
      port.post({ kind: 'choose', list, chosen, stream, readings })
      return new ReadingsReader(memory, chosen.length)
    },
    onStatus(handler) {
      status = handler
    },
    onDropped(handler) {
      dropped = handler
    },
    onProblem(handler) {
      if (problem !== null) problem = handler
    },
    snapshot(lastS) {
      if (closing !== null) return Promise.resolve(null)
      return new Promise((resolve) => {
        waiting.set(++ticket, resolve)
        port.post({ kind: 'snapshot', ticket, lastS })
      })
    },
    close() {
      closing ??= new Promise<void>((resolve) => {
        const timer = setTimeout(resolve, closeMs)
        closed = () => {
          clearTimeout(timer)
          resolve()
        }
        port.post({ kind: 'close' })
      }).then(end)
      return closing
    },
  }
}
