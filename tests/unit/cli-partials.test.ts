import { describe, expect, it } from 'vitest'
import { partialsTable } from '../../src/cli/partialstable.ts'

const plain = { k: 1, frequencyHz: 110, amplitude: 0.1, decayPerS: 2 }

describe('the table of partials', () => {
  it('has four columns for a plain string', () => {
    expect(partialsTable([plain])).toEqual({ head: 'k,frequency,amplitude,decay_per_s', rows: [[1, 110, 0.1, 2]] })
  })
  it('has a column for whatever one of the partials has', () => {
    const second = { ...plain, frequencyHz: 110.1, polarisation: 2 as const, deviationCents: 1.5 }
    expect(partialsTable([plain, second])).toEqual({
      head: 'k,frequency,amplitude,decay_per_s,deviation_cents,polarisation',
      rows: [
        [1, 110, 0.1, 2, 0, 1],
        [1, 110.1, 0.1, 2, 1.5, 2],
      ],
    })
    expect(partialsTable([{ ...plain, lateDecayPerS: 1 }, plain])).toEqual({
      head: 'k,frequency,amplitude,decay_per_s,late_decay_per_s',
      rows: [
        [1, 110, 0.1, 2, 1],
        [1, 110, 0.1, 2, 2],
      ],
    })
  })
})
