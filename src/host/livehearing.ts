/**
 * Runs several methods on one live stream: reads all there is, lets every method hear it, keeps the last seconds, notices
 * losses, and makes room when the methods together take too long.
 *
 * A loss is known by count only. A read after which the count of losses stands as before lies wholly on one side of any
 * loss; otherwise what is there is read to its end and given to nobody (some ms when the audio thread left something out,
 * a whole ring when this thread was late, which also brings it back to the present), and all methods begin anew. Places in
 * the stream stay exact: heard + lost + skipped.
 */
import type { BlockSource } from './blocks.ts'
import { SampleHistory } from './livehistory.ts'
import type { LiveChoice, LiveStatus, LiveStream, Snapshot } from './livemessages.ts'
import { LiveMethod } from './livemethod.ts'
import type { ReadingsSink } from './livereadings.ts'

/** Read at once: a method is called 50 times a second or less once it lags, and 10 ms of sound never wait for a full block. */
const chunkSamples = 2048
/** After so many blocks the thread looks at its messages, however far behind it is: 85 ms of sound at 48 kHz. */
const chunksAtOnce = 2
/** Loads are means over this long. */
const loadMs = 1000
/**
 * Above it for so many periods, the most expensive method is thinned: the rest is for the sound itself and for other programs.
 * One period alone may be a program that starts, or code that is not compiled yet.
 */
const crowded = 0.8
const crowdedPeriods = 2
/** Below it for so many periods, the last one thinned gets half of it back: a doubled load then still is not crowded. */
const roomy = 0.4
const roomyPeriods = 4

export interface Dropped {
  readonly slot: number
  readonly id: string
  readonly what: string
}

export interface HearingSettings {
  readonly sampleRateHz: number
  /** How much of what was heard is kept, s. */
  readonly keepS: number
  /** Whether methods may be thinned. */
  readonly thin: boolean
}

export class LiveHearing {
  readonly #source: BlockSource
  readonly #sampleRateHz: number
  readonly #mayThin: boolean
  readonly #now: () => number
  readonly #onDropped: (dropped: Dropped) => void
  readonly #chunk = new Float32Array(chunkSamples)
  readonly #history: SampleHistory
  #methods: LiveMethod[] = []
  #heardSamples = 0
  #lostSamples = 0
  #skippedSamples = 0
  #gaps = 0
  #loads: number[] = []
  #periodMs: number
  #quietPeriods = 0
  #fullPeriods = 0

  /** @param now a clock in ms */
  constructor(
    source: BlockSource,
    { sampleRateHz, keepS, thin }: HearingSettings,
    now: () => number,
    onDropped: (dropped: Dropped) => void,
  ) {
    this.#source = source
    this.#sampleRateHz = sampleRateHz
    this.#mayThin = thin
    this.#history = new SampleHistory(Math.round(keepS * sampleRateHz))
    this.#now = now
    this.#periodMs = now()
    this.#onDropped = onDropped
  }

  /** The place of the next sample to be heard. */
  get sample(): number {
    return this.#heardSamples + this.#lostSamples + this.#skippedSamples
  }

  /** Methods that were chosen before, with the same settings and stream, go on as if nothing had happened. */
  choose(chosen: readonly LiveChoice[], stream: LiveStream, sink: ReadingsSink): void {
    const before = [...this.#methods]
    const fresh = new Set<LiveMethod>()
    this.#methods = chosen.map((choice) => {
      const made = new LiveMethod(choice, { ...stream, sampleRateHz: this.#sampleRateHz })
      const at = before.findIndex((old) => old.key === made.key && old.runs)
      const one = at >= 0 ? before.splice(at, 1)[0] : made
      if (one === made) fresh.add(made)
      return one
    })
    for (const [slot, method] of this.#methods.entries()) {
      method.report(sink, slot)
      if (fresh.has(method)) this.#told(slot, method, method.open(this.sample))
    }
    this.#beginPeriod()
    this.#loads = this.#methods.map(() => 0)
  }

  /** Hears what is there. True: there may be more, come back at once after a look at the messages. */
  hear(): boolean {
    let more = true
    for (let chunk = 0; more && chunk < chunksAtOnce; chunk++) more = this.#hearChunk()
    this.#weigh()
    return more
  }

  status(): LiveStatus {
    return {
      heardSamples: this.#heardSamples,
      lostSamples: this.#lostSamples,
      skippedSamples: this.#skippedSamples,
      gaps: this.#gaps,
      load: this.#loads.reduce((sum, load) => sum + load, 0),
      methods: this.#methods.map((method, slot) => method.status(this.#loads[slot])),
    }
  }

  snapshot(lastS: number): Snapshot {
    return this.#history.snapshot(lastS * this.#sampleRateHz)
  }

  #hearChunk(): boolean {
    const count = this.#source.read(this.#chunk)
    if (this.#source.lostSamples !== this.#lostSamples) {
      this.#beginAnew(count)
      return true
    }
    if (count === 0) return false
    const samples = this.#chunk.subarray(0, count)
    this.#heardSamples += count
    this.#history.keep(samples)
    for (let slot = 0; slot < this.#methods.length; slot++) {
      const method = this.#methods[slot]
      this.#told(slot, method, method.hear(samples, this.#now))
    }
    return count === this.#chunk.length
  }

  /** `readSamples` are read already and lie on an unknown side of the loss. */
  #beginAnew(readSamples: number): void {
    this.#skippedSamples += readSamples
    this.#gaps++
    let lost: number
    do {
      lost = this.#source.lostSamples
      for (let count = this.#source.read(this.#chunk); count > 0; count = this.#source.read(this.#chunk)) {
        this.#skippedSamples += count
      }
      // A loss between the last look and the last read would leave samples on either side of it: once more.
    } while (this.#source.lostSamples !== lost)
    this.#lostSamples = lost
    this.#history.restart(this.sample)
    for (const [slot, method] of this.#methods.entries()) this.#told(slot, method, method.open(this.sample))
  }

  #weigh(): void {
    const tookMs = this.#now() - this.#periodMs
    if (tookMs < loadMs) return
    this.#loads = this.#methods.map((method) => method.takeRecentMs() / tookMs)
    this.#periodMs = this.#now()
    const load = this.#loads.reduce((sum, one) => sum + one, 0)
    this.#quietPeriods = load < roomy ? this.#quietPeriods + 1 : 0
    this.#fullPeriods = load > crowded ? this.#fullPeriods + 1 : 0
    if (!this.#mayThin) return
    if (this.#fullPeriods >= crowdedPeriods) this.#thin()
    else if (this.#quietPeriods >= roomyPeriods) this.#thicken()
  }

  /** The method that takes most gets hops twice as long; one that cannot is passed over. */
  #thin(): void {
    this.#fullPeriods = 0
    let most = -1
    for (const [slot, method] of this.#methods.entries()) {
      if (!method.runs || !method.canThin(2 * method.thinned)) continue
      if (most < 0 || this.#loads[slot] > this.#loads[most]) most = slot
    }
    if (most >= 0) this.#change(most, 2 * this.#methods[most].thinned)
  }

  #thicken(): void {
    this.#quietPeriods = 0
    const slot = this.#methods.findIndex((method) => method.runs && method.thinned > 1)
    if (slot >= 0) this.#change(slot, this.#methods[slot].thinned / 2)
  }

  #change(slot: number, times: number): void {
    const method = this.#methods[slot]
    this.#told(slot, method, method.thin(times, this.sample))
  }

  #told(slot: number, { id }: LiveMethod, what: string | null): void {
    if (what !== null) this.#onDropped({ slot, id, what })
  }

  #beginPeriod(): void {
    for (const method of this.#methods) method.takeRecentMs()
    this.#periodMs = this.#now()
    this.#quietPeriods = 0
    this.#fullPeriods = 0
  }
}
