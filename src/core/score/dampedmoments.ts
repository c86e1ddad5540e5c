/**
 * Integrals of t^m exp(z t) over a span 0..T for m = 0, 1, 2: what every Fisher information of damped partials is made of.
 *
 * I_0 = (exp(zT) - 1) / z, I_m = (T^m exp(zT) - m I_(m-1)) / z by parts. For small |zT| that cancels; there the power series
 * T^(m+1) sum_j (zT)^j / (j! (j + m + 1)) is summed instead. Good to about 1e-13 of the largest of the three in T's own units.
 */

/** Below this |zT| the series is used: by parts loses a factor 2 / |zT|^3 of precision, at 1 no more than a digit. */
const seriesBelow = 1

/** 1 / 18! is below the precision of a double. */
const seriesTerms = 18

/** Real z = -rate (rate >= 0): writes I_0, I_1, I_2 to out[0..2]. */
export function realMoments(rate: number, spanS: number, out: Float64Array): void {
  const x = rate * spanS
  if (x === 0) {
    out[0] = spanS
    out[1] = (spanS * spanS) / 2
    out[2] = (spanS * spanS * spanS) / 3
    return
  }
  if (x < seriesBelow) {
    let term = 1
    let i0 = 0
    let i1 = 0
    let i2 = 0
    for (let j = 0; j < seriesTerms && Math.abs(term) > 1e-17; j++) {
      i0 += term / (j + 1)
      i1 += term / (j + 2)
      i2 += term / (j + 3)
      term *= -x / (j + 1)
    }
    out[0] = spanS * i0
    out[1] = spanS * spanS * i1
    out[2] = spanS * spanS * spanS * i2
    return
  }
  const end = Math.exp(-x)
  out[0] = (1 - end) / rate
  out[1] = (out[0] - spanS * end) / rate
  out[2] = (2 * out[1] - spanS * spanS * end) / rate
}

/** z = -rate + i omega: writes the real parts of I_0, I_1, I_2 to out[0..2] and the imaginary parts to out[3..5]. */
export function complexMoments(rate: number, omega: number, spanS: number, out: Float64Array): void {
  const x = -rate * spanS
  const y = omega * spanS
  if (x * x + y * y < seriesBelow * seriesBelow) {
    out.fill(0)
    let re = 1
    let im = 0
    for (let j = 0; j < seriesTerms; j++) {
      for (let m = 0; m < 3; m++) {
        out[m] += re / (j + m + 1)
        out[m + 3] += im / (j + m + 1)
      }
      const next = (re * x - im * y) / (j + 1)
      im = (re * y + im * x) / (j + 1)
      re = next
    }
  } else {
    const size = Math.exp(x)
    const endRe = size * Math.cos(y)
    const endIm = size * Math.sin(y)
    const norm = x * x + y * y
    let re = endRe - 1
    let im = endIm
    for (let m = 0; m < 3; m++) {
      out[m] = (re * x + im * y) / norm
      out[m + 3] = (im * x - re * y) / norm
      re = endRe - (m + 1) * out[m]
      im = endIm - (m + 1) * out[m + 3]
    }
  }
  for (let m = 0, scale = spanS; m < 3; m++, scale *= spanS) {
    out[m] *= scale
    out[m + 3] *= scale
  }
}
