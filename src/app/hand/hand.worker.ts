/** Body of the worker that hears a hand: drains the tap every 20 ms, whatever the page is doing. */
import { TurnWatch } from '../../core/plan/turnwatch.ts'
import { LevelMeter } from '../../core/room/levelmeter.ts'
import type { BlockSource } from '../../host/blocks.ts'
import type { FromTap } from '../../host/messages.ts'
import { PostedBlocks } from '../../host/posted.ts'
import { RingReader } from '../../host/ring.ts'
import type { FromHand, ToHand } from './handmessages.ts'

interface WorkerScope {
  postMessage(message: FromHand): void
  onmessage: ((event: MessageEvent<ToHand>) => void) | null
}

const scope = globalThis as unknown as WorkerScope
const beatMs = 20
/** Ten times a second: no eye follows more. */
const beatsPerLevel = 5
const floorLevels = 100
/** A tenth of a second at the highest rate. */
const block = new Float32Array(19_200)

let source: BlockSource | null = null
let meter: LevelMeter | null = null
let watch: TurnWatch | null = null
let rateHz = 0
let ticket = -1
let beats = 0
const lately: number[] = []

function watchNote(noteHz: number): void {
  ticket++
  const mine = ticket
  watch = new TurnWatch(rateHz, noteHz, (told) => scope.postMessage({ kind: 'told', ticket: mine, told }))
}

function hear(): void {
  if (source === null || meter === null) return
  for (let count = source.read(block); count > 0; count = source.read(block)) {
    const samples = block.subarray(0, count)
    watch?.push(samples, source.lostSamples)
    for (const sample of samples) meter.push(Number.isFinite(sample) ? sample : 0)
  }
  beats++
  if (beats % beatsPerLevel !== 0) return
  const { peakDb, rmsDb, overloaded } = meter
  lately.push(rmsDb)
  if (lately.length > floorLevels) lately.shift()
  const level = { peakDb, rmsDb, floorDb: Math.min(...lately), overloaded, lostSamples: source.lostSamples }
  scope.postMessage({ kind: 'level', level })
}

function begin({ sampleRateHz, noteHz, tap, ring }: Extract<ToHand, { kind: 'open' }>): void {
  const posted = new PostedBlocks((message, transfer) => tap.postMessage(message, transfer))
  tap.onmessage = ({ data }: MessageEvent<FromTap>) => {
    if (data.kind === 'block' || data.kind === 'stopped') posted.take(data)
    else
      scope.postMessage({ kind: 'problem', what: data.kind === 'problem' ? data.what : 'the tap was not understood' })
  }
  rateHz = sampleRateHz
  source = ring === null ? posted : new RingReader(ring)
  meter = new LevelMeter(sampleRateHz)
  watchNote(noteHz)
  setInterval(hear, beatMs)
}

function obey(message: ToHand): void {
  switch (message.kind) {
    case 'open':
      begin(message)
      break
    case 'note':
      watchNote(message.noteHz)
      break
    case 'reset-meter':
      meter?.reset()
  }
}

scope.onmessage = ({ data }) => {
  try {
    obey(data)
  } catch (cause) {
    scope.postMessage({ kind: 'problem', what: cause instanceof Error ? cause.message : String(cause) })
  }
}
