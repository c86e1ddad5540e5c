/**
 * Notices an input that gives nothing but one value, sample after sample. Browsers tell of a lost or muted device by events, and
 * some tell nothing (a hub that lost power, an interface whose driver died): what is left is digital silence.
 */

/** The largest analyser: two thirds of a second at 48 kHz, so that looks twice a second leave nothing out. */
const lookSamples = 32_768
/** A converter has noise of its own; nobody waits longer for a first sign of life (own choice). */
const silentMs = 3000

export class SilenceWatch {
  readonly #analyser: AnalyserNode
  readonly #samples = new Float32Array(lookSamples)
  #sinceMs: number

  /** Connects to `input` and plays nothing. */
  constructor(context: AudioContext, input: AudioNode, nowMs: number) {
    this.#analyser = context.createAnalyser()
    this.#analyser.fftSize = lookSamples
    input.connect(this.#analyser)
    this.#sinceMs = nowMs
  }

  /** True: it has been silent for three seconds and more. Call it about twice a second while the context runs. */
  look(nowMs: number): boolean {
    this.#analyser.getFloatTimeDomainData(this.#samples)
    if (this.#samples.some((sample) => sample !== this.#samples[0])) this.#sinceMs = nowMs
    return nowMs - this.#sinceMs >= silentMs
  }

  /** Time in which nothing could be heard does not count. */
  restart(nowMs: number): void {
    this.#sinceMs = nowMs
  }
}
