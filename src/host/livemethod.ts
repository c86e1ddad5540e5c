/**
 * One method that listens live: opened anew wherever the stream was broken, thinned when there is too little time, dropped
 * when it throws. Counts its readings and the time it takes.
 *
 * Thinning makes its hop longer: it then answers less often and forgets what it had heard (it begins anew), but every
 * reading it gives is the one it would have given. Methods without a `hop` cannot be thinned.
 */
import { fill } from '../core/fields.ts'
import { displayed } from '../core/methods/displayed.ts'
import { methodById, methods } from '../core/methods/index.ts'
import type { Listener, Method, Reading, Stream } from '../core/methods/method.ts'
import type { LiveChoice, LiveMethodStatus } from './livemessages.ts'
import type { ReadingsSink } from './livereadings.ts'

/** Sixteen default hops are 0.17 s: what answers more rarely is no live reading. */
const longestThinning = 16

export class LiveMethod {
  readonly id: string
  /** Two with the same key give the same readings of the same samples. */
  readonly key: string
  readonly #choice: LiveChoice
  readonly #stream: Stream
  readonly #emit: (reading: Readonly<Reading>) => void
  #method: Method | null = null
  #listener: Listener | null = null
  #startSample = 0
  #slot = 0
  #sink: ReadingsSink | null = null
  #problem: string | null = null
  #thinned = 1
  #hops = 0
  #skippedHops = 0
  #busyMs = 0
  #recentMs = 0

  /** Hears nothing before `open`. */
  constructor(choice: LiveChoice, stream: Stream) {
    this.id = choice.id
    this.#choice = choice
    this.#stream = streamFor(choice.id, stream)
    this.key = keyOf(choice, this.#stream)
    this.#emit = (reading) => {
      this.#hops++
      this.#skippedHops += this.#thinned - 1
      this.#sink?.write(this.#slot, reading, this.#startSample)
    }
  }

  /** From now on its readings go there. */
  report(sink: ReadingsSink, slot: number): void {
    this.#sink = sink
    this.#slot = slot
  }

  /** Begins at sample `startSample` of the stream. Answers why it cannot, or null. A method that was dropped stays so. */
  open(startSample: number): string | null {
    if (this.#problem !== null) return null
    try {
      this.#method ??= methodOf(this.#choice)
      const values = fill(this.#method.fields, this.#choice.values)
      const hop = values.hop
      const thinner = this.#thinned > 1 && hop !== undefined ? { ...values, hop: hop * this.#thinned } : values
      this.#listener = this.#method.open(this.#stream, thinner)
      this.#startSample = startSample
      return null
    } catch (error) {
      return this.#drop(error)
    }
  }

  /** Answers why it was dropped just now, or null. */
  hear(samples: Float32Array, now: () => number): string | null {
    if (this.#listener === null) return null
    const fromMs = now()
    try {
      this.#listener.push(samples, this.#emit)
    } catch (error) {
      return this.#drop(error)
    }
    const tookMs = now() - fromMs
    this.#busyMs += tookMs
    this.#recentMs += tookMs
    return null
  }

  get runs(): boolean {
    return this.#listener !== null
  }

  get thinned(): number {
    return this.#thinned
  }

  /** Hops `times` as long as asked for are possible. */
  canThin(times: number): boolean {
    const field = this.#method?.fields.hop
    if (field === undefined || times > longestThinning) return false
    return (this.#choice.values.hop ?? field.default) * times <= field.max
  }

  /** Answers like `open`. */
  thin(times: number, startSample: number): string | null {
    this.#thinned = times
    return this.open(startSample)
  }

  /** Time taken since the last call, ms. */
  takeRecentMs(): number {
    const ms = this.#recentMs
    this.#recentMs = 0
    return ms
  }

  /** @param load share of one core, measured by the caller. */
  status(load: number): LiveMethodStatus {
    return {
      id: this.id,
      hops: this.#hops,
      skippedHops: this.#skippedHops,
      busyUs: this.#hops > 0 ? (1000 * this.#busyMs) / this.#hops : 0,
      load,
      thinned: this.#thinned,
      problem: this.#problem,
    }
  }

  #drop(error: unknown): string {
    this.#listener = null
    this.#problem = error instanceof Error ? error.message : String(error)
    return this.#problem
  }
}

function methodOf({ id, display }: LiveChoice): Method {
  const method = methodById(id)
  return display === undefined ? method : displayed(method, display)
}

/** A blind method is not told which note is in hand, so another one changes nothing for it. */
function streamFor(id: string, stream: Stream): Stream {
  const aimed = methods.find((method) => method.id === id)?.family === 'aimed'
  return aimed ? stream : { ...stream, targetHz: null }
}

function keyOf({ id, values, display }: LiveChoice, stream: Stream): string {
  const { room } = stream
  const sorted = Object.entries({ ...values, ...display }).sort(([a], [b]) => (a < b ? -1 : 1))
  return JSON.stringify([id, sorted, { ...stream, room: room && [room.binHz, ...room.density] }])
}
