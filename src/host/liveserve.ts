/**
 * What a live worker does with each message, and its beat: every 10 ms it hears what has come, at once again while it is
 * behind.
 *
 * A dedicated worker's timers go on while its page is hidden; should they be late, the ring (or the blocks under way) hold
 * four seconds.
 */
import type { BlockSource } from './blocks.ts'
import { LiveHearing } from './livehearing.ts'
import type { FromLive, LiveStream, ToLive } from './livemessages.ts'
import { ReadingsPoster, type ReadingsSink, ReadingsWriter } from './livereadings.ts'
import { type FromTap, type ToTap, unknownKind } from './messages.ts'
import { PostedBlocks } from './posted.ts'
import { RingReader } from './ring.ts'

/** About one hop of a method at its default. */
const beatMs = 10
/** Counters are read by people. */
const statusMs = 250
/** A tap whose audio thread stands still never answers. */
const stopMs = 500

type Post = (message: FromLive, transfer?: ArrayBuffer[]) => void

interface Open {
  readonly hearing: LiveHearing
  readonly tap: MessagePort
  ended: () => void
}

/** @param now stands in for the worker's clock, ms, in tests. */
export function liveServer(post: Post, now = () => performance.now()): (message: ToLive) => void {
  let open: Open | null = null
  let list = -1
  let poster: ReadingsPoster | null = null
  let timer: ReturnType<typeof setTimeout> | undefined
  let toldMs = now()

  const tell = () => {
    const records = poster?.take()
    if (records) post({ kind: 'readings', list, records }, [records.buffer])
  }

  const hear = (): boolean => {
    if (open === null) return false
    const more = open.hearing.hear()
    tell()
    if (list >= 0 && now() - toldMs >= statusMs) {
      toldMs = now()
      post({ kind: 'status', list, status: open.hearing.status() })
    }
    return more
  }

  const beat = () => {
    timer = setTimeout(beat, hear() ? 0 : beatMs)
  }

  const begin = ({ sampleRateHz, tap, ring, keepS, thin }: Extract<ToLive, { kind: 'open' }>) => {
    const posted = new PostedBlocks((message, transfer) => tap.postMessage(message, transfer))
    const source: BlockSource = ring === null ? posted : new RingReader(ring)
    const hearing = new LiveHearing(source, { sampleRateHz, keepS, thin }, now, (dropped) =>
      post({ kind: 'dropped', list, ...dropped }),
    )
    const opened: Open = { hearing, tap, ended: () => {} }
    tap.onmessage = ({ data }: MessageEvent<FromTap>) => {
      switch (data.kind) {
        case 'block':
          return posted.take(data)
        case 'stopped':
          posted.take(data)
          return opened.ended()
        case 'problem':
          post({ kind: 'problem', what: data.what })
          return opened.ended()
        default:
          return post({ kind: 'problem', what: unknownKind(data) })
      }
    }
    open = opened
    // The first list is under way: it is to hear the stream from its start.
    timer = setTimeout(beat, beatMs)
  }

  const close = async () => {
    const closing = open
    if (closing !== null) {
      const ended = new Promise<void>((resolve) => {
        closing.ended = resolve
        setTimeout(resolve, stopMs)
      })
      closing.tap.postMessage({ kind: 'stop' } satisfies ToTap)
      await ended
      clearTimeout(timer)
      while (hear());
      post({ kind: 'status', list, status: closing.hearing.status() })
      closing.tap.close()
      open = null
    }
    post({ kind: 'closed' })
  }

  const choose = (message: Extract<ToLive, { kind: 'choose' }>) => {
    if (open === null) throw new Error('nothing is open')
    tell()
    list = message.list
    poster = message.readings === null ? new ReadingsPoster() : null
    const sink: ReadingsSink =
      poster ?? new ReadingsWriter(message.readings as SharedArrayBuffer, message.chosen.length)
    const { lowestHz, highestHz, targetHz, room }: LiveStream = message.stream
    open.hearing.choose(message.chosen, { lowestHz, highestHz, targetHz, room }, sink)
  }

  const obey = (message: ToLive) => {
    switch (message.kind) {
      case 'open':
        return begin(message)
      case 'choose':
        return choose(message)
      case 'snapshot': {
        if (open === null) throw new Error('nothing is open')
        const snapshot = open.hearing.snapshot(message.lastS)
        return post({ kind: 'snapshot', ticket: message.ticket, snapshot }, [snapshot.samples.buffer])
      }
      case 'close':
        void close()
        return
      default:
        throw new Error(unknownKind(message))
    }
  }

  return (message) => {
    try {
      obey(message)
    } catch (error) {
      post({ kind: 'problem', what: error instanceof Error ? error.message : String(error) })
    }
  }
}
