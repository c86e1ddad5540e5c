import { expect, it } from 'vitest'
import { welch } from '../../src/core/maths/spectrum.ts'

// scipy.signal.welch(x, fs=10, window='hann', nperseg=16, noverlap=8, detrend=False), scipy 1.17.1, for 40 made-up samples.
const expected = [
  0.19730676006622666, 0.3200981097858602, 0.1421314560630803, 0.06759025487219991, 0.0634656728401463,
  0.05101280918876962, 0.1256395260467876, 0.05348629770963515, 0.005072919159534936,
]

it('agrees with scipy', () => {
  const samples = Float32Array.from({ length: 40 }, (_, i) => (((i * i * 7 + 3 * i + 1) % 23) - 11) / 8)
  const { binHz, density } = welch(samples, 10, 16)
  expect(binHz).toBe(0.625)
  expect(density.length).toBe(9)
  // The samples are exact in float32; a few roundings a bin.
  density.forEach((value, k) => {
    expect(Math.abs(value / expected[k] - 1)).toBeLessThan(1e-13)
  })
})
