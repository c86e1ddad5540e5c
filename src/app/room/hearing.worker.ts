/** Body of the worker that hears the Room page's input: drains the tap every 20 ms, whatever the page is doing. */
import { StringFinder } from '../../core/room/stringfinder.ts'
import { TakeKeeper } from '../../core/room/takekeeper.ts'
import type { BlockSource } from '../../host/blocks.ts'
import type { FromTap } from '../../host/messages.ts'
import { PostedBlocks } from '../../host/posted.ts'
import { RingReader } from '../../host/ring.ts'
import type { FromHearing, ToHearing } from './hearingmessages.ts'

interface WorkerScope {
  postMessage(message: FromHearing, transfer?: Transferable[]): void
  onmessage: ((event: MessageEvent<ToHearing>) => void) | null
}

const scope = globalThis as unknown as WorkerScope
const beatMs = 20
/** Ten times a second: no eye follows more. */
const beatsPerLevel = 5
const floorLevels = 100
/** A tenth of a second at the highest rate. */
const block = new Float32Array(19_200)

let source: BlockSource | null = null
let keeper: TakeKeeper | null = null
let finder: StringFinder | null = null
let rateHz = 0
let found: string | null = null
let beats = 0
const lately: number[] = []

const tellFound = (id: string | null): void => {
  if (id === found) return
  found = id
  scope.postMessage({ kind: 'found', id })
}

function hear(): void {
  if (source === null || keeper === null) return
  for (let count = source.read(block); count > 0; count = source.read(block)) {
    const samples = block.subarray(0, count)
    keeper.push(samples, source.lostSamples)
    finder?.push(samples, ({ id }) => tellFound(id))
  }
  beats++
  if (beats % beatsPerLevel !== 0) return
  const { peakDb, rmsDb, overloaded } = keeper.meter
  lately.push(rmsDb)
  if (lately.length > floorLevels) lately.shift()
  const level = { peakDb, rmsDb, floorDb: Math.min(...lately), overloaded, lostSamples: source.lostSamples }
  scope.postMessage({ kind: 'level', level })
}

function begin({ sampleRateHz, tap, ring }: Extract<ToHearing, { kind: 'open' }>): void {
  const posted = new PostedBlocks((message, transfer) => tap.postMessage(message, transfer))
  tap.onmessage = ({ data }: MessageEvent<FromTap>) => {
    if (data.kind === 'block' || data.kind === 'stopped') posted.take(data)
    else
      scope.postMessage({ kind: 'problem', what: data.kind === 'problem' ? data.what : 'the tap was not understood' })
  }
  rateHz = sampleRateHz
  source = ring === null ? posted : new RingReader(ring)
  keeper = new TakeKeeper(sampleRateHz, {
    onOnset: (ticket) => scope.postMessage({ kind: 'onset', ticket }),
    onKept: (ticket, part) => scope.postMessage({ kind: 'kept', ticket, part }, [part.samples.buffer]),
  })
  setInterval(hear, beatMs)
}

function obey(message: ToHearing): void {
  switch (message.kind) {
    case 'open':
      begin(message)
      break
    case 'ask':
      keeper?.ask(message.ticket, message.wish)
      break
    case 'now':
      keeper?.keepNow()
      break
    case 'find':
      finder = message.find === null ? null : new StringFinder(rateHz, message.find.strings, message.find.room)
      tellFound(null)
      break
    case 'reset-meter':
      keeper?.meter.reset()
  }
}

scope.onmessage = ({ data }) => {
  try {
    obey(data)
  } catch (cause) {
    scope.postMessage({ kind: 'problem', what: cause instanceof Error ? cause.message : String(cause) })
  }
}
