/**
 * Amplitude and frequency error of partials whose frequencies are nearly known, all of them told apart.
 *
 * Near partial k the frame is (a + b u) exp(i w_k t) + conjugate, u = time over half the frame's length, from its middle.
 * b / a holds what w_k misses: Im is the frequency error, Re the decay; so a decaying partial biases nothing. Two windowed
 * moments of the frame at w_k, sum of w x e^{-i w_k t} and the same times u, give a and b by linear algebra. Their cross-talk
 * with the other partials (and with the mirror images at negative frequencies) is known exactly from the window's own
 * transform and is taken out by Gauss-Seidel sweeps. That allows a wide window, which loses little information.
 *
 * The linear term stands for an exponential: with z = b / a true, the measured one is z (1 + z^2 p) / (1 + z^2 q) to third
 * order, and that is undone. Good while the frequency error turns less than about 1 rad in half a frame.
 * Source: own; the window family is in Harris 1978, Proc. IEEE 66:51-83 (eq. 29).
 */
import { RealFourier } from '../maths/fourier.ts'
import { cos } from '../maths/portable.ts'

/** Table steps per 2 pi of phase difference over the frame: Hermite interpolation is then good to 1e-6. */
const stepsPerBin = 8

/** Cross-talk beyond this many partials away is under the window's side lobes times their 1/distance: one sweep's error. */
const reach = 16

/** Each sweep gains at least the side lobe level; two neighbours 2.5 bins apart (the closest) need the most. */
const sweeps = 4

export class PartialMoments {
  /** Squared amplitude a of each partial (a is half of the peak amplitude). */
  readonly power: Float64Array
  /** Frequency error against what was asked, rad per sample. */
  readonly errorRad: Float64Array
  /** Imaginary part of b times the conjugate of a, per sample: `errorRad` times `power` for small errors, and what noise adds to it is even. */
  readonly turnPower: Float64Array
  /** Amplitude decay, per sample. */
  readonly decay: Float64Array
  /** Variance of `errorRad` times power over noise variance per sample: multiply by noise / power. */
  readonly errorGain: number
  /** Sum of w, squared, over sum of w^2: power times this over the noise variance per sample is the partial's ratio. */
  readonly detectGain: number

  readonly #half: number
  readonly #window: Float64Array
  readonly #even: Float64Array
  readonly #odd: Float64Array
  readonly #uEven: Float64Array
  readonly #uOdd: Float64Array
  #middle = 0
  /** Transforms of w u^m, m = 0..3, the even ones real, the odd ones imaginary. */
  readonly #c0: Float64Array
  readonly #c1: Float64Array
  readonly #c2: Float64Array
  readonly #c3: Float64Array
  /** Phase (radians in half a frame) per table step. */
  readonly #step: number
  readonly #m: Float64Array
  readonly #ab: Float64Array
  readonly #cross: Float64Array
  readonly #s2: number
  readonly #s4: number

  /**
   * `length` odd. `taper`: share of the window that is cosine taper (Tukey): 0 loses no information and leaks as 1 / distance,
   * 1 (Hann) loses a factor 1.53 in deviation, 0.25 1.15. A window with corners (Hamming, Kaiser) never falls that far.
   */
  constructor(length: number, maxPartials: number, taper: number) {
    const half = (length - 1) / 2
    this.#half = half
    this.power = new Float64Array(maxPartials)
    this.errorRad = new Float64Array(maxPartials)
    this.turnPower = new Float64Array(maxPartials)
    this.decay = new Float64Array(maxPartials)
    this.#even = new Float64Array(half + 1)
    this.#odd = new Float64Array(half + 1)
    this.#uEven = new Float64Array(half + 1)
    this.#uOdd = new Float64Array(half + 1)
    this.#m = new Float64Array(4 * maxPartials)
    this.#ab = new Float64Array(4 * maxPartials)
    this.#cross = new Float64Array(6 * maxPartials * maxPartials)

    this.#window = new Float64Array(half + 1)
    let s0 = 0
    let s2 = 0
    let s4 = 0
    let n0 = 0
    let n2 = 0
    for (let n = 0; n <= half; n++) {
      const into = (n / (half + 1) - (1 - taper)) / taper
      const w = into <= 0 ? 1 : 0.5 + 0.5 * cos(Math.PI * into)
      const u2 = (n / half) ** 2
      const both = n === 0 ? 1 : 2
      this.#window[n] = w
      s0 += both * w
      s2 += both * w * u2
      s4 += both * w * u2 * u2
      n0 += both * w * w
      n2 += both * w * w * u2
    }
    this.#s2 = s2 / s0
    this.#s4 = s4 / s0
    // Noise in b is E|n|^2 = noise n2 / s2^2; half of it turns the phase; u counts half frames.
    this.errorGain = n2 / (2 * s2 * s2 * half * half)
    this.detectGain = (s0 * s0) / n0

    let size = 4
    while (size < stepsPerBin * length) size *= 2
    this.#step = (2 * Math.PI * half) / size
    const transform = windowTransformer(this.#window, size)
    this.#c0 = transform(0)
    this.#c1 = transform(1)
    this.#c2 = transform(2)
    this.#c3 = transform(3)
  }

  /** Takes a frame (of `length` samples). */
  load(frame: Float64Array): void {
    const half = this.#half
    const window = this.#window
    this.#middle = window[0] * frame[half]
    for (let n = 1; n <= half; n++) {
      const right = window[n] * frame[half + n]
      const left = window[n] * frame[half - n]
      const u = n / half
      this.#even[n] = right + left
      this.#odd[n] = right - left
      this.#uEven[n] = u * (right + left)
      this.#uOdd[n] = u * (right - left)
    }
  }

  /** Measures the loaded frame at `omega` (rad per sample, rising). Does not allocate. */
  measure(omega: Float64Array, partials: number): void {
    for (let k = 0; k < partials; k++) this.#project(omega[k], k)
    this.#untangle(omega, partials)
    const ab = this.#ab
    const p = this.#s4 / (6 * this.#s2)
    const q = this.#s2 / 2
    for (let k = 0; k < partials; k++) {
      const ar = ab[4 * k]
      const ai = ab[4 * k + 1]
      const br = ab[4 * k + 2]
      const bi = ab[4 * k + 3]
      const power = ar * ar + ai * ai
      this.power[k] = power
      this.turnPower[k] = (bi * ar - br * ai) / this.#half
      const mr = power > 0 ? (br * ar + bi * ai) / power : 0
      const mi = power > 0 ? (bi * ar - br * ai) / power : 0
      let zr = mr
      let zi = mi
      // Two fixed-point steps of z = m (1 + q z^2) / (1 + p z^2); noise can make |m| large, there the series means nothing.
      for (let i = 0; i < 2 && mr * mr + mi * mi < 1; i++) {
        const z2r = zr * zr - zi * zi
        const z2i = 2 * zr * zi
        const topR = 1 + q * z2r
        const topI = q * z2i
        const lowR = 1 + p * z2r
        const lowI = p * z2i
        const low2 = lowR * lowR + lowI * lowI
        const fR = (topR * lowR + topI * lowI) / low2
        const fI = (topI * lowR - topR * lowI) / low2
        zr = mr * fR - mi * fI
        zi = mr * fI + mi * fR
      }
      this.errorRad[k] = zi / this.#half
      this.decay[k] = -zr / this.#half
    }
  }

  #project(omega: number, k: number): void {
    const even = this.#even
    const odd = this.#odd
    const uEven = this.#uEven
    const uOdd = this.#uOdd
    const stepC = Math.cos(omega)
    const stepS = Math.sin(omega)
    let c = stepC
    let s = stepS
    let m0r = this.#middle
    let m0i = 0
    let m1r = 0
    let m1i = 0
    for (let n = 1; n < even.length; n++) {
      m0r += even[n] * c
      m0i -= odd[n] * s
      m1r += uOdd[n] * c
      m1i -= uEven[n] * s
      const next = c * stepC - s * stepS
      s = s * stepC + c * stepS
      c = next
    }
    const m = this.#m
    m[4 * k] = m0r
    m[4 * k + 1] = m0i
    m[4 * k + 2] = m1r
    m[4 * k + 3] = m1i
  }

  /** Solves M0_k = sum over j of a_j C0 + i b_j C1 (+ images), M1_k = i a_j C1 + b_j C2 (+ images) for all a, b. */
  #untangle(omega: Float64Array, partials: number): void {
    const half = this.#half
    const cross = this.#cross
    const m = this.#m
    const ab = this.#ab
    const s0 = this.#c0[0]
    const s2 = this.#c2[0]
    for (let k = 0; k < partials; k++) {
      for (let j = 0; j <= k; j++) {
        const at = 6 * (k * partials + j)
        if (k - j <= reach && j !== k) this.#kernel((omega[k] - omega[j]) * half, at)
        if (k + j + 2 <= reach || j === k) this.#kernel((omega[k] + omega[j]) * half, at + 3)
      }
      for (let i = 0; i < 2; i++) {
        ab[4 * k + i] = m[4 * k + i] / s0
        ab[4 * k + 2 + i] = m[4 * k + 2 + i] / s2
      }
    }
    for (let sweep = 0; sweep < sweeps; sweep++) {
      for (let k = 0; k < partials; k++) {
        let r0 = m[4 * k]
        let i0 = m[4 * k + 1]
        let r1 = m[4 * k + 2]
        let i1 = m[4 * k + 3]
        for (let j = Math.max(0, k - reach); j < partials && j <= k + reach; j++) {
          const ar = ab[4 * j]
          const ai = ab[4 * j + 1]
          const br = ab[4 * j + 2]
          const bi = ab[4 * j + 3]
          const at = 6 * (j < k ? k * partials + j : j * partials + k)
          if (j !== k) {
            // The table was filled for the higher minus the lower; the odd transform changes sign the other way round.
            const c0 = cross[at]
            const c1 = j < k ? -cross[at + 1] : cross[at + 1]
            const c2 = cross[at + 2]
            r0 -= ar * c0 - bi * c1
            i0 -= ai * c0 + br * c1
            r1 -= br * c2 - ai * c1
            i1 -= bi * c2 + ar * c1
          }
          if (k + j + 2 <= reach || j === k) {
            const c0 = cross[at + 3]
            const c1 = -cross[at + 4]
            const c2 = cross[at + 5]
            r0 -= ar * c0 + bi * c1
            i0 -= -ai * c0 + br * c1
            r1 -= br * c2 + ai * c1
            i1 -= -bi * c2 + ar * c1
          }
        }
        ab[4 * k] = r0 / s0
        ab[4 * k + 1] = i0 / s0
        ab[4 * k + 2] = r1 / s2
        ab[4 * k + 3] = i1 / s2
      }
    }
  }

  /** C0, C1, C2 at a phase of `angle` rad per half frame, by Hermite interpolation: each table's slope is the next table. */
  #kernel(angle: number, at: number): void {
    const c0 = this.#c0
    const c1 = this.#c1
    const c2 = this.#c2
    const c3 = this.#c3
    const last = c0.length - 1
    let place = angle / this.#step
    if (place > last - 1) place = last - 1
    const i = Math.floor(place)
    const t = place - i
    const h = this.#step
    const t2 = t * t
    const t3 = t2 * t
    const h00 = 2 * t3 - 3 * t2 + 1
    const h01 = 3 * t2 - 2 * t3
    const h10 = (t3 - 2 * t2 + t) * h
    const h11 = (t3 - t2) * h
    this.#cross[at] = h00 * c0[i] + h01 * c0[i + 1] - h10 * c1[i] - h11 * c1[i + 1]
    this.#cross[at + 1] = h00 * c1[i] + h01 * c1[i + 1] + h10 * c2[i] + h11 * c2[i + 1]
    this.#cross[at + 2] = h00 * c2[i] + h01 * c2[i + 1] - h10 * c3[i] - h11 * c3[i + 1]
  }
}

/** C_m[i] = sum over n of w u^m cos or sin (m odd) of 2 pi i n / size, n from -half to half. */
function windowTransformer(window: Float64Array, size: number): (power: number) => Float64Array {
  const half = window.length - 1
  const fourier = new RealFourier(size)
  const re = new Float64Array(size / 2 + 1)
  const im = new Float64Array(size / 2 + 1)
  const input = new Float64Array(size)
  return (power) => {
    input.fill(0)
    for (let n = -half; n <= half; n++) input[(n + size) % size] = window[Math.abs(n)] * (n / half) ** power
    fourier.forward(input, re, im)
    return power % 2 === 0 ? re.slice() : im.map((value) => -value)
  }
}
