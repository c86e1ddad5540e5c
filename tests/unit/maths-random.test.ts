import { xoroshiro128plusFromState } from 'pure-rand/generator/xoroshiro128plus'
import { describe, expect, it } from 'vitest'
import { type Random, randomStream } from '../../src/core/maths/random.ts'
import { bell, layerArea, layerCount, tailStart, zigguratTables } from '../../src/core/maths/ziggurat.ts'

const drawn = (random: Random, n: number): Float64Array => {
  const values = new Float64Array(n)
  random.fillGaussian(values)
  return values
}

/** Integral by Simpson's rule over 2 * half steps. */
function integral(f: (x: number) => number, from: number, to: number, half: number): number {
  const step = (to - from) / (2 * half)
  let sum = f(from) + f(to)
  for (let i = 1; i < 2 * half; i++) sum += (i % 2 === 1 ? 4 : 2) * f(from + i * step)
  return (sum * step) / 3
}

/** FNV-1a over the bytes, 32 bit. */
function hashOf(values: Float64Array): string {
  let hash = 0x811c9dc5
  for (const byte of new Uint8Array(values.buffer)) hash = Math.imul(hash ^ byte, 0x01000193)
  return (hash >>> 0).toString(16)
}

describe('generator', () => {
  it('is xoroshiro128+ as published', () => {
    // Blackman & Vigna 2021, figure 2, with the constants 24, 16, 37: written anew in whole 64-bit words.
    const mask = (1n << 64n) - 1n
    const rotated = (x: bigint, by: bigint): bigint => ((x << by) | (x >> (64n - by))) & mask
    const [a, b, c, d] = [0x12345678, 0x9abcdef0 | 0, 0x0fedcba9, 0x87654321 | 0]
    const generator = xoroshiro128plusFromState([a, b, c, d])
    const word = (high: number, low: number): bigint => (BigInt(high >>> 0) << 32n) | BigInt(low >>> 0)
    let s0 = word(a, b)
    let s1 = word(c, d)
    for (let i = 0; i < 1000; i++) {
      const sum = (s0 + s1) & mask
      expect(generator.next()).toBe(Number(BigInt.asIntN(32, sum)))
      s1 ^= s0
      s0 = rotated(s0, 24n) ^ s1 ^ ((s1 << 16n) & mask)
      s1 = rotated(s1, 37n)
    }
  })
})

describe('streams', () => {
  it('are the same for the same seed and names', () => {
    expect(drawn(randomStream(7, 'noise', 3), 50)).toEqual(drawn(randomStream(7, 'noise', 3), 50))
  })

  it('differ when anything differs', () => {
    const streams = [
      randomStream(1),
      randomStream(2),
      randomStream(1.5),
      randomStream(2 ** 32 + 1),
      randomStream(1, ''),
      randomStream(1, 'a'),
      randomStream(1, 'a', 'b'),
      randomStream(1, 'ab'),
      randomStream(1, 'b', 'a'),
      randomStream(1, 1),
      randomStream(1, '1'),
      randomStream(1, 1, 1),
      randomStream(1, -1),
      randomStream(1, 'a', 1),
    ]
    expect(new Set(streams.map((stream) => stream.uniform())).size).toBe(streams.length)
    expect(randomStream(-0).uniform()).toBe(randomStream(0).uniform())
  })

  it('fork by name, whatever has been drawn', () => {
    const parent = randomStream(1, 'a')
    parent.gaussian()
    expect(parent.fork('b').uniform()).toBe(randomStream(1, 'a', 'b').uniform())
  })

  it('with neighbouring names are not correlated', () => {
    const n = 20_000
    for (let i = 0; i < 20; i++) {
      const a = drawn(randomStream(1, 'trial', i), n)
      const b = drawn(randomStream(1, 'trial', i + 1), n)
      let product = 0
      for (let j = 0; j < n; j++) product += a[j] * b[j]
      // Standard deviation of the mean product is 1 / sqrt(n); 4.5 of them: 1 in 150 000 by chance.
      expect(Math.abs(product / n)).toBeLessThan(4.5 / Math.sqrt(n))
    }
  })

  it('fill as they draw one by one', () => {
    const one = randomStream(5)
    const values = drawn(randomStream(5), 10_000)
    for (const value of values) expect(one.gaussian()).toBe(value)
  })
})

describe('uniform', () => {
  it('stays in its range with the right mean and variance', () => {
    const random = randomStream(3, 'uniform')
    const n = 1_000_000
    let sum = 0
    let squares = 0
    for (let i = 0; i < n; i++) {
      const u = random.uniform()
      if (!(u >= 0 && u < 1)) throw new Error(`${u}`)
      sum += u
      squares += (u - 0.5) ** 2
    }
    // Standard errors sqrt(1/12/n) and sqrt(1/180/n), four of each.
    expect(Math.abs(sum / n - 1 / 2)).toBeLessThan(4 * Math.sqrt(1 / 12 / n))
    expect(Math.abs(squares / n - 1 / 12)).toBeLessThan(4 * Math.sqrt(1 / 180 / n))
  })

  it('gives every whole number its share', () => {
    const random = randomStream(3, 'whole')
    const counts = [0, 0, 0, 0, 0, 0, 0]
    const n = 70_000
    for (let i = 0; i < n; i++) counts[random.whole(7)]++
    let chiSquare = 0
    for (const count of counts) chiSquare += (count - n / 7) ** 2 / (n / 7)
    // 0.999 quantile of chi-square with 6 degrees of freedom (Abramowitz & Stegun, table 26.8).
    expect(chiSquare).toBeLessThan(22.458)
  })
})

describe('ziggurat', () => {
  const { edge, height } = zigguratTables()

  it('has layers of one area that close at the top', () => {
    const tailArea = integral(bell, tailStart, tailStart + 12, 20_000)
    // Both are good to rounding; Simpson's error, (12 / 40 000)^4 / 180 of the range, is below it.
    expect(Math.abs(tailStart * bell(tailStart) + tailArea - layerArea)).toBeLessThan(1e-16)
    for (let i = 1; i < layerCount; i++) {
      expect(Math.abs(edge[i] * (height[i + 1] - height[i]) - layerArea)).toBeLessThan(1e-15)
      expect(edge[i + 1]).toBeLessThan(edge[i])
    }
    // 255 steps with the rounding of layer area and height each, 1e-16, magnified where the last edges are short.
    expect(Math.abs(height[layerCount - 1] + layerArea / edge[layerCount - 1] - 1)).toBeLessThan(1e-12)
  })

  it('gives the moments of the normal distribution', () => {
    const n = 4_000_000
    const values = drawn(randomStream(1, 'moments'), n)
    const moments = [0, 0, 0, 0]
    for (const x of values) {
      moments[0] += x
      moments[1] += x * x
      moments[2] += x * x * x
      moments[3] += x * x * x * x
    }
    // Moments 0, 1, 0, 3; their variances over one sample are 1, 3 - 1, 15 and 105 - 9. Four standard errors.
    const expected = [0, 1, 0, 3]
    const variances = [1, 2, 15, 96]
    for (let i = 0; i < 4; i++) {
      expect(Math.abs(moments[i] / n - expected[i])).toBeLessThan(4 * Math.sqrt(variances[i] / n))
    }
  })

  it('fills 100 bins as the density says', () => {
    const n = 4_000_000
    const counts = new Float64Array(100)
    const values = drawn(randomStream(1, 'bins'), n)
    // 98 bins of 0.08 from -3.92 to 3.92 and one beyond each end.
    for (const x of values) counts[Math.min(99, Math.max(0, Math.floor((x + 4) / 0.08)))]++
    const scale = n / Math.sqrt(2 * Math.PI)
    let chiSquare = 0
    for (let bin = 0; bin < 100; bin++) {
      const from = bin === 0 ? -12 : -4 + 0.08 * bin
      const to = bin === 99 ? 12 : -4 + 0.08 * (bin + 1)
      const expected = scale * integral(bell, from, to, 2000)
      chiSquare += (counts[bin] - expected) ** 2 / expected
    }
    // 0.999 quantile of chi-square with 99 degrees of freedom: 148.23 (scipy.stats.chi2.ppf).
    expect(chiSquare).toBeLessThan(148.23)
  })

  it('neighbours in time are not correlated', () => {
    const n = 2_000_000
    const values = drawn(randomStream(1, 'lags'), n)
    for (const lag of [1, 2, 3, 10]) {
      let product = 0
      for (let i = lag; i < n; i++) product += values[i] * values[i - lag]
      expect(Math.abs(product / n)).toBeLessThan(4 / Math.sqrt(n))
    }
  })

  // Guards against an engine, or a change, that draws other numbers: then every rendered noise would differ.
  it('draws the numbers it has always drawn', () => {
    expect(hashOf(drawn(randomStream(1, 'hash'), 65_536))).toBe('43964880')
  })
})
