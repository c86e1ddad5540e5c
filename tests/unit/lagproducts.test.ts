/** Lag products and their turning points against sums and curves worked out the plain way. */
import { describe, expect, it } from 'vitest'
import { LagProducts, type Overlap } from '../../src/core/methods/lagproducts.ts'
import { lowestHeardHz, periodRange } from '../../src/core/methods/periodrange.ts'
import { refine, refineMargin } from '../../src/core/methods/refine.ts'
import { Problem } from '../../src/core/problem.ts'

/** A frame without any pattern: fractional parts of multiples of the golden ratio, about zero. */
const frameOf = (n: number): Float32Array =>
  Float32Array.from({ length: n }, (_, i) => ((i * i * 0.6180339887) % 1) - 0.5)

function plainly(frame: Float32Array, lag: number, overlap: Overlap, lags: number): number {
  const last = overlap === 'fixed' ? frame.length - lags : frame.length - lag
  let sum = 0
  for (let j = 0; j < last; j++) sum += frame[j] * frame[j + lag]
  return sum
}

describe('LagProducts', () => {
  for (const overlap of ['shrinking', 'fixed'] as const) {
    for (const [window, lags] of [
      [256, 128],
      [256, 17],
      [300, 150],
      [300, 20],
      [1000, 333],
      [4096, 2048],
    ]) {
      it(`${overlap}: ${window} samples, ${lags} lags, equals the plain sums`, () => {
        const frame = frameOf(window)
        const products = new LagProducts(window, lags, overlap)
        const out = new Float64Array(lags + 1)
        // Twice, with another frame between: nothing is left over from call to call.
        products.of(frame, out)
        products.of(
          frameOf(window).map((value) => 3 * value + 1),
          out,
        )
        products.of(frame, out)
        // Rounding of a transform: a few times 1e-16 log2(size) of r(0), which is the frame's energy.
        const tolerance = 1e-14 * plainly(frame, 0, 'shrinking', lags)
        for (let lag = 0; lag <= lags; lag++) {
          expect(Math.abs(out[lag] - plainly(frame, lag, overlap, lags))).toBeLessThan(tolerance)
        }
      })
    }
  }
})

describe('refine', () => {
  const turnOf = (curve: (x: number) => number, index: number, sign: 1 | -1): { position: number; value: number } => {
    const turn = { position: 0, value: 0 }
    refine(
      Float64Array.from({ length: index + refineMargin + 1 }, (_, i) => curve(i)),
      index,
      sign,
      turn,
    )
    return turn
  }

  it('finds the top of a cosine anywhere between two samples', () => {
    for (const period of [8, 20, 100, 1600]) {
      for (const offset of [-0.49, -0.3, -1 / 32, 0, 0.1, 0.25, 0.49]) {
        const place = 100 + offset
        const turn = turnOf((x) => Math.cos((2 * Math.PI * (x - place)) / period), 100, 1)
        // Lagrange over 24 points: sin(pi / 8)^24 = 1e-10 at period 8; then the parabola at 1/16 sample, offset from its
        // middle by up to 1/32: w^2 / 24 / 16^3 * 0.19 at w = 2 pi / 8, 1.2e-6 samples; slow curves lose to rounding,
        // 1e-15 / (w^2 / 16) = 1e-9.
        expect(Math.abs(turn.position - place)).toBeLessThan(3e-6)
        // Height: the third derivative at the offset, w^4 (1/32)^2 (1/16)^2 / 8 = 1.8e-7.
        expect(Math.abs(turn.value - 1)).toBeLessThan(2e-7)
      }
    }
  })

  it('finds the bottom of a dip', () => {
    const turn = turnOf((x) => 2 - Math.cos((2 * Math.PI * (x - 60.2)) / 30), 60, -1)
    expect(turn.position).toBeCloseTo(60.2, 5)
    expect(turn.value).toBeCloseTo(1, 7)
  })

  it('mirrors what lies before lag 0', () => {
    // An even curve, as lag products are, whose peak at 5.3 needs points down to -7.
    const curve = (x: number): number => Math.cos((2 * Math.PI * x) / 5.3)
    // sin(pi / 5.3)^24 = 1e-6 of the curve, on a bend of w^2 = 1.4.
    expect(turnOf(curve, 5, 1).position).toBeCloseTo(5.3, 4)
  })
})

describe('periodRange', () => {
  const stream = { sampleRateHz: 48000, lowestHz: 30, highestHz: 1400, targetHz: null, room: null }

  it('spans the stream’s range in whole lags', () => {
    const range = periodRange(stream, 4096)
    expect([range.shortestLag, range.longestLag]).toEqual([34, 1600])
    expect(range.lags).toBeLessThanOrEqual(2048)
    expect(range.holds(30)).toBe(true)
    expect(range.holds(1400.1)).toBe(false)
  })

  it('is cut to two periods a window, and says so', () => {
    const range = periodRange({ ...stream, sampleRateHz: 192000 }, 4096)
    expect(range.lags).toBe(2048)
    expect(lowestHeardHz(192000, 4096)).toBeCloseTo(192000 / range.longestLag, 12)
  })

  it('refuses a window that hears nothing of the range', () => {
    expect(() => periodRange({ ...stream, sampleRateHz: 192000 }, 256)).toThrow(Problem)
    expect(() => periodRange({ ...stream, sampleRateHz: 192000 }, 256)).toThrow(/hear nothing below 1670 Hz/)
  })
})
