import FFT from 'fft.js'
import { expect, it } from 'vitest'
import { RealFourier } from '../../src/core/maths/fourier.ts'
import { randomStream } from '../../src/core/maths/random.ts'

// fft.js 4.0.4 has a real transform of its own: our split into halves and our portable twiddles may not move its result. The
// definition itself is checked in tests/unit/maths-fourier.test.ts.
it.each([2048, 4096, 8192, 32_768])('agrees with the real transform of fft.js at %i samples', (n) => {
  const x = new Float64Array(n)
  randomStream(2, n).fillGaussian(x)
  const re = new Float64Array(n / 2 + 1)
  const im = new Float64Array(n / 2 + 1)
  new RealFourier(n).forward(x, re, im)
  const other = new FFT(n)
  const expected = other.createComplexArray() as number[]
  other.realTransform(expected, x)
  // Both round log2(n) times a few at values of size sqrt(n).
  const tolerance = 4 * Math.log2(n) * Number.EPSILON * Math.sqrt(n)
  for (let k = 0; k <= n / 2; k++) {
    expect(Math.abs(re[k] - expected[2 * k])).toBeLessThan(tolerance)
    expect(Math.abs(im[k] - expected[2 * k + 1])).toBeLessThan(tolerance)
  }
})
