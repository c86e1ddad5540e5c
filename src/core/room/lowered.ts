/** A whole take at a lower rate, through the linear-phase decimator of the aimed methods: no frequency moves. */
import { Decimator } from '../methods/decimator.ts'

export interface Lowered {
  readonly samples: Float32Array
  readonly rateHz: number
}

/** @param passHz kept; what folds onto it is 80 dB down. */
export function lowered(samples: Float32Array, sampleRateHz: number, passHz: number): Lowered {
  // A quarter of the new rate is flank: the filter stays short.
  const factor = Math.max(1, Math.floor(sampleRateHz / (2.6 * passHz)))
  if (factor === 1) return { samples, rateHz: sampleRateHz }
  const decimator = new Decimator(sampleRateHz, factor, Math.min(passHz, (0.42 * sampleRateHz) / factor))
  const kept = new Float32Array(Math.ceil(samples.length / factor))
  let count = 0
  for (const sample of samples) if (decimator.push(sample)) kept[count++] = decimator.output
  return { samples: kept.subarray(0, count), rateHz: sampleRateHz / factor }
}
