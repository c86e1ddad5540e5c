/**
 * A made-up input for who has no microphone at hand: a rendered room that sounds all the time, and a string that is plucked
 * whenever one is asked for. Seeded; it goes the same way as a real input, sample by sample, and nothing of it is played.
 */
import type { InstrumentKind } from '../../core/instruments/instrument.ts'
import { Problem } from '../../core/problem.ts'
import type { StudyString } from '../../core/study/study.ts'

export interface MadeUpOrder {
  readonly strings: readonly StudyString[]
  readonly room: string
  /** Length of the room alone. */
  readonly roomS: number
  readonly snrDb: number
  readonly seed: number
  readonly sampleRateHz: number
}

export type MadeUpAnswer =
  /** Plucks begin a tenth of a second in. */
  | { readonly kind: 'made'; readonly noise: Float32Array; readonly plucks: readonly Float32Array[] }
  | { readonly kind: 'problem'; readonly what: string }

export const madeUpSeed = 1
/** The third string over the room: loud beside a ring, and still to be heard. */
export const madeUpRatioDb = 12
/** What the person hears of the question before the hand moves. */
const reactionS = 0.8

/** Named rooms of the demo in which such an instrument stands. */
export const madeUpRooms: Readonly<Record<InstrumentKind, string>> = {
  electric: 'wings-solid',
  bass: 'wings-solid',
  acoustic: 'front-acoustic',
  nylon: 'front-acoustic',
}

/** Where the plucks' stretches of the room begin: behind that of the noise take, which is a little longer than it. */
const plucksFromS = 10
/** From one string's stretch to the next one's. */
const strideS = 2
/** A pluck as it is asked for, heard and kept, with some to spare. */
const stretchS = 7

export interface MadeUpInput {
  readonly context: AudioContext
  readonly input: AudioNode
  /** A noise take begins: the room from its start. */
  damp(): void
  pluck(index: number): void
  close(): Promise<void>
}

/** Call it from a click. @throws Problem when it cannot be rendered. */
export async function openMadeUp(kind: InstrumentKind, strings: readonly StudyString[]): Promise<MadeUpInput> {
  const context = new AudioContext({ latencyHint: 'interactive' })
  const sampleRateHz = context.sampleRate
  const roomS = plucksFromS + strideS * (strings.length - 1) + stretchS
  const order = { strings, room: madeUpRooms[kind], roomS, snrDb: madeUpRatioDb, seed: madeUpSeed, sampleRateHz }
  const made = await rendered(order)
  const mix = context.createGain()
  const sourceOf = (samples: Float32Array): AudioBufferSourceNode => {
    const buffer = context.createBuffer(1, samples.length, sampleRateHz)
    buffer.copyToChannel(Float32Array.from(samples), 0)
    const source = context.createBufferSource()
    source.buffer = buffer
    source.connect(mix)
    return source
  }
  let room: AudioBufferSourceNode | null = null
  // Goes round, but no part may lie across the seam: it would be a click that is not the room's, and a jump in its hum.
  const roomFrom = (fromS: number): void => {
    room?.stop()
    room = sourceOf(made.noise)
    room.loop = true
    room.start(0, fromS)
  }
  roomFrom(0)
  await context.resume()
  return {
    context,
    input: mix,
    damp: () => roomFrom(0),
    pluck(index) {
      const samples = made.plucks[index]
      if (samples === undefined) return
      roomFrom(plucksFromS + strideS * index)
      sourceOf(samples).start(context.currentTime + reactionS)
    },
    async close() {
      if (context.state !== 'closed') await context.close()
    },
  }
}

function rendered(order: MadeUpOrder): Promise<Extract<MadeUpAnswer, { kind: 'made' }>> {
  const worker = new Worker(new URL('./madeup.worker.ts', import.meta.url), { type: 'module' })
  return new Promise((resolve, reject) => {
    worker.onmessage = ({ data }: MessageEvent<MadeUpAnswer>) => {
      worker.terminate()
      if (data.kind === 'made') resolve(data)
      else reject(new Problem(data.what, 'made-up take'))
    }
    worker.onerror = ({ message }) => {
      worker.terminate()
      reject(new Problem(message || 'the worker could not be loaded', 'made-up take'))
    }
    worker.postMessage(order)
  })
}
