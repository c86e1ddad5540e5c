/**
 * Computing time a frame, gathered beside a run and never in it: scores stay reproducible, times do not. Behind a display a
 * frame is an update, with all that the method computed for it.
 */
import type { DisplaySettings } from '../methods/displayed.ts'
import { methodById } from '../methods/index.ts'
import type { Study } from './study.ts'
import type { TrialRun } from './trial.ts'

export interface Pace {
  readonly method: string
  /** Settings that differ from the method's own. */
  readonly values: Readonly<Record<string, number>>
  /** Behind which display; absent: none. */
  readonly display?: DisplaySettings
  readonly frames: number
  /** NaN without a frame. */
  readonly microsecondsAFrame: number
  /** A frame is computed before the next hop, or update, is full; null: not known. */
  readonly keepsUp: boolean | null
}

export class Paces {
  readonly #study: Study
  /** By place in the study: the same method may stand there twice with other settings. */
  readonly #sums: { frames: number; ms: number }[]

  constructor(study: Study) {
    this.#study = study
    this.#sums = study.methods.map(() => ({ frames: 0, ms: 0 }))
  }

  add(timings: TrialRun['timings']): void {
    for (const [place, { frames, ms }] of timings.entries()) {
      const sum = this.#sums[place]
      sum.frames += frames
      sum.ms += ms
    }
  }

  /** In the study's method order. */
  all(): Pace[] {
    return this.#study.methods.map(({ id, values, display, after }, place) => {
      const { frames, ms } = this.#sums[place]
      const hop = values.hop ?? methodById(id).fields.hop?.default ?? Number.NaN
      const microsecondsAFrame = (1000 * ms) / frames
      const hopMicroseconds = display === undefined ? (1e6 * hop) / this.#study.sampleRateHz : 1e6 / display.updateHz
      return {
        method: id,
        values,
        ...(display === undefined ? {} : { display }),
        frames,
        microsecondsAFrame,
        // Stages of a chain answer at paces of their own.
        keepsUp: frames === 0 || after !== undefined ? null : microsecondsAFrame < hopMicroseconds,
      }
    })
  }
}
