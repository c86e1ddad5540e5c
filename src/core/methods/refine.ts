/**
 * Finds the turning point of a sampled curve between its samples.
 *
 * A parabola through three samples is off by up to a cent where the period is a few dozen samples and the curve holds
 * many partials. Lag products of a band-limited sound are band-limited themselves, so the curve is drawn finely by
 * Lagrange interpolation through 24 points (exact for polynomials of degree 23, error about sin(pi f / rate)^24 for a
 * component f) and the parabola is laid through three points 1/16 sample apart. Weights are tabled at set-up.
 * Source of the interpolator: Laakso, Valimaki, Karjalainen & Laine 1996, IEEE Signal Processing Magazine 13(1):30-60,
 * eq. 42. Stops being valid for components above a third of the sample rate, and within 12 samples of the curve's end.
 */

/** Points each side of the place asked about. 12: the error above is 1e-4 at 0.24 of the sample rate. */
const SIDE = 12
/** Places between two samples. 16: the parabola's own error shrinks by 16^2. */
const STEPS = 16

/** How many samples a curve must reach beyond the last one that may be refined. */
export const refineMargin = SIDE + 1

const weights = lagrangeWeights()

/** A turning point: where, and how high. */
export interface Turn {
  position: number
  value: number
}

/**
 * The maximum (sign 1) or minimum (sign -1) of `curve` beside `index`, which holds more (less) than its two neighbours.
 * Points before index 0 are mirrored, as lag products are. Writes into `turn`; allocates nothing.
 */
export function refine(curve: Float64Array, index: number, sign: 1 | -1, turn: Turn): void {
  const before = curve[Math.abs(index - 1)]
  const here = curve[index]
  const after = curve[index + 1]
  const bend = before - 2 * here + after
  const guess = bend === 0 ? 0 : (before - after) / (2 * bend)
  let step = Math.round(guess * STEPS)
  let middle = sign * at(curve, index, step)
  let left = sign * at(curve, index, step - 1)
  let right = sign * at(curve, index, step + 1)
  // The turning point lies within one sample of the highest one; the walk is short as the guess is good.
  while (left > middle && step > -STEPS) {
    step--
    right = middle
    middle = left
    left = sign * at(curve, index, step - 1)
  }
  while (right > middle && step < STEPS) {
    step++
    left = middle
    middle = right
    right = sign * at(curve, index, step + 1)
  }
  const fineBend = left - 2 * middle + right
  const shift = fineBend < 0 ? Math.max(-1, Math.min(1, (left - right) / (2 * fineBend))) : 0
  turn.position = index + (step + shift) / STEPS
  turn.value = sign * (middle - ((left - right) * shift) / 4)
}

/** The curve at index + step / STEPS. */
function at(curve: Float64Array, index: number, step: number): number {
  const whole = Math.floor(step / STEPS)
  const row = (step - whole * STEPS) * 2 * SIDE
  const first = index + whole - SIDE + 1
  let sum = 0
  if (first >= 0) {
    for (let i = 0; i < 2 * SIDE; i++) sum += weights[row + i] * curve[first + i]
  } else {
    for (let i = 0; i < 2 * SIDE; i++) sum += weights[row + i] * curve[Math.abs(first + i)]
  }
  return sum
}

function lagrangeWeights(): Float64Array {
  const table = new Float64Array(STEPS * 2 * SIDE)
  for (let step = 0; step < STEPS; step++) {
    const place = SIDE - 1 + step / STEPS
    for (let i = 0; i < 2 * SIDE; i++) {
      let weight = 1
      for (let j = 0; j < 2 * SIDE; j++) if (j !== i) weight *= (place - j) / (i - j)
      table[step * 2 * SIDE + i] = weight
    }
  }
  return table
}
