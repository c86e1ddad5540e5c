/**
 * How long a method computes for one reading on the machine it runs on, with its own settings.
 *
 * A take of one plucked string (A2, 110 Hz) in pink noise, 10 dB, 48 kHz, is pushed hop by hop, again from its start when it
 * is over. The clock starts at the first reading, for filling the window is no frame; a round lasts until both enough time
 * has gone by for the clock to be read well and enough frames are there. The median over rounds leaves out what other
 * programs did meanwhile, the fastest and slowest round stand beside it. One round before the first warms the code up and
 * is thrown away. Methods do not know the room. Another take, rate or hop gives other times: they are no property of a
 * method alone, and scores never see them.
 */
import { fill } from '../fields.ts'
import { median } from '../maths/statistics.ts'
import type { Listener, Method, Stream } from '../methods/method.ts'
import { Problem } from '../problem.ts'
import { parseScene } from '../scene/parse.ts'
import { render } from '../scene/render.ts'

export interface MethodTiming {
  readonly method: string
  readonly family: Method['family']
  readonly hopSamples: number
  readonly sampleRateHz: number
  /** Median over rounds; NaN when the method could not be timed. */
  readonly microsecondsAFrame: number
  readonly fastest: number
  readonly slowest: number
  readonly rounds: number
  /** All that were timed. */
  readonly frames: number
  /** Time of a frame over time of a hop: of one core, live. */
  readonly coreShare: number
  /** A frame is computed before the next hop is full. */
  readonly keepsUp: boolean
  /** Why it could not be timed. */
  readonly problem: string | null
}

export interface TimingSettings {
  readonly rounds: number
  /** A round lasts at least this long, ms. */
  readonly roundMs: number
  /** And this many frames, unless `mostMs` is over first. */
  readonly roundFrames: number
  readonly mostMs: number
}

/**
 * Browsers round their clock to 0.1 ms or less when a page is isolated: 20 ms are read to half a percent. Forty frames
 * hear the attack, the tone and the noise before it.
 */
export const usualTiming: TimingSettings = { rounds: 7, roundMs: 20, roundFrames: 40, mostMs: 200 }

const sampleRateHz = 48000
const targetHz = 110
/** As the blind range of studies. */
const range = { lowestHz: 30, highestHz: 1400 }
/** What live listening hands over at a time when a method has no hop. */
const usualHop = 512

/** One method after the other, so that a page can show each as it comes. */
export function* timeMethods(
  methods: readonly Method[],
  nowMs: () => number,
  settings: TimingSettings = usualTiming,
): Generator<MethodTiming> {
  const samples = standardTake()
  for (const method of methods) yield timeMethod(method, samples, nowMs, settings)
}

/** The take that every method is timed on, 2 s. */
export function standardTake(): Float32Array {
  const scene = parseScene({
    sampleRateHz,
    durationS: 2,
    seed: 1,
    plucks: [{ onsetS: 0.2, firstPartialHz: targetHz, stiffness: 4e-5, decayS: 3, pickRatio: 0.2, glideCents: 0 }],
    noises: [{ id: 'pink', snrDb: 10 }],
  })
  return render(scene, new Map()).take.samples
}

/** Never throws: what a method refuses stands in `problem`. */
export function timeMethod(
  method: Method,
  samples: Float32Array,
  nowMs: () => number,
  settings: TimingSettings = usualTiming,
): MethodTiming {
  const hopSamples = method.fields.hop?.default ?? usualHop
  const common = { method: method.id, family: method.family, hopSamples, sampleRateHz }
  try {
    const stream: Stream = {
      sampleRateHz,
      ...range,
      targetHz: method.family === 'aimed' ? targetHz : null,
      room: null,
    }
    const runner = new Runner(method.open(stream, fill(method.fields, {})), samples, hopSamples)
    runner.toFirstFrame()
    const rounds: { us: number; frames: number }[] = []
    for (let round = 0; round <= settings.rounds; round++) {
      const { ms, frames } = timed(runner, nowMs, settings)
      if (round > 0) rounds.push({ us: (1000 * ms) / frames, frames })
    }
    const all = rounds.map(({ us }) => us)
    const microsecondsAFrame = median(all)
    const coreShare = microsecondsAFrame / ((1e6 * hopSamples) / sampleRateHz)
    return {
      ...common,
      microsecondsAFrame,
      fastest: Math.min(...all),
      slowest: Math.max(...all),
      rounds: rounds.length,
      frames: rounds.reduce((sum, { frames }) => sum + frames, 0),
      coreShare,
      keepsUp: coreShare < 1,
      problem: null,
    }
  } catch (cause) {
    const problem = cause instanceof Problem ? cause.sentence : cause instanceof Error ? cause.message : String(cause)
    const none = Number.NaN
    return {
      ...common,
      ...{ microsecondsAFrame: none, fastest: none, slowest: none, rounds: 0, frames: 0, coreShare: none },
      keepsUp: false,
      problem,
    }
  }
}

function timed(runner: Runner, nowMs: () => number, settings: TimingSettings): { ms: number; frames: number } {
  const startMs = nowMs()
  let frames = 0
  let ms = 0
  while ((ms < settings.roundMs || frames < settings.roundFrames) && (ms < settings.mostMs || frames === 0)) {
    frames += runner.hop()
    ms = nowMs() - startMs
  }
  return { ms, frames }
}

/** A method that emits nothing for this long never will, hops: half a minute of sound at the usual hop. */
const mostSilentHops = 2800

class Runner {
  readonly #listener: Listener
  readonly #samples: Float32Array
  readonly #hopSamples: number
  #at = 0
  #silent = 0
  #frames = 0
  readonly #count = (): void => {
    this.#frames++
  }

  constructor(listener: Listener, samples: Float32Array, hopSamples: number) {
    this.#listener = listener
    this.#samples = samples
    this.#hopSamples = hopSamples
  }

  toFirstFrame(): void {
    while (this.hop() === 0) {}
  }

  /** The next hop of the take, which begins again when less than one is left. @returns how many readings it completed. */
  hop(): number {
    if (this.#at + this.#hopSamples > this.#samples.length) this.#at = 0
    this.#frames = 0
    this.#listener.push(this.#samples.subarray(this.#at, this.#at + this.#hopSamples), this.#count)
    this.#at += this.#hopSamples
    this.#silent = this.#frames === 0 ? this.#silent + 1 : 0
    if (this.#silent > mostSilentHops) throw new Problem('emits no reading', '')
    return this.#frames
  }
}
