/**
 * Computing time a frame, gathered beside a run and never in it: scores stay reproducible, times do not.
 */
import { cpus } from 'node:os'
import { methodById } from '../core/methods/index.ts'
import type { Study } from '../core/study/study.ts'
import type { TrialRun } from '../core/study/trial.ts'

export class Timings {
  readonly #study: Study
  /** By place in the study: the same method may stand there twice with other settings. */
  readonly #sums = new Map<number, { frames: number; ms: number }>()

  constructor(study: Study) {
    this.#study = study
  }

  get any(): boolean {
    return this.#sums.size > 0
  }

  add(timings: TrialRun['timings']): void {
    for (const [index, { frames, ms }] of timings.entries()) {
      const sum = this.#sums.get(index) ?? { frames: 0, ms: 0 }
      this.#sums.set(index, { frames: sum.frames + frames, ms: sum.ms + ms })
    }
  }

  /** Microseconds a frame, and whether the method keeps up live: a frame computed before the next hop is full. */
  report(): unknown {
    const methods = this.#study.methods.map(({ id, values }, index) => {
      const { frames, ms } = this.#sums.get(index) ?? { frames: 0, ms: 0 }
      const hop = values.hop ?? methodById(id).fields.hop?.default ?? Number.NaN
      const microsecondsAFrame = frames === 0 ? null : (1000 * ms) / frames
      const hopMicroseconds = (1e6 * hop) / this.#study.sampleRateHz
      return {
        method: id,
        frames,
        microsecondsAFrame,
        keepsUp: microsecondsAFrame === null ? null : microsecondsAFrame < hopMicroseconds,
      }
    })
    return {
      engine: `node ${process.version}`,
      machine: `${cpus().length} x ${cpus()[0]?.model ?? 'unknown'}`,
      methods,
    }
  }
}
