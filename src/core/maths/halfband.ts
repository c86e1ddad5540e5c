/**
 * Halves the rate of a stretch of sound that is 0 before and after: two chains of all-pass sections, one for the even and one for the
 * odd samples, whose sum passes the lower quarter of the rate and stops what would fold into it.
 *
 * Valenzuela & Constantinides 1983, IEE Proc. F 130:225-235 (elliptic half-band filters; formulas from memory, the response is
 * checked in tests/unit). The two powers, of the sum and of the difference, add up to one, so where folding is kept under d the
 * pass band is level within d^2 / 2: at -120 dB nothing is left to make up for. The phase is bent: for power spectra only.
 */

/** Parts of a millionth of what lies above fold into the band: -120 dB. */
const folded = 1e-6

/** All-pass sections in all: the two loops below have two a chain and four a chain. */
const fewSections = 4
const manySections = 8

/** With eight sections what folds stays under -120 dB for bands up to this part of the incoming rate. */
export const widestPass = 0.21

export class HalfBand {
  /** Samples that follow the halved stretch before what rings on is under a millionth. */
  readonly tailSamples: number
  /** Of the chain that hears the later sample of each pair, then of the other. */
  readonly #sections: Float64Array

  /**
   * @param pass the part of the incoming rate up to which the halved sound holds.
   * @throws RangeError over `widestPass`.
   */
  constructor(pass: number) {
    if (!(pass > 0 && pass <= widestPass)) throw new RangeError(`pass ${pass} is not in 0..${widestPass}`)
    const found = coefficientsOf(pass)
    const chain = found.length / 2
    this.#sections = Float64Array.from(found, (_, i) => found[2 * (i % chain) + (i < chain ? 0 : 1)])
    // The sections ring by their coefficients; those of a chain one after the other.
    this.tailSamples = Math.ceil(Math.log(folded) / Math.log(Math.max(...found))) + chain
  }

  /** From the first `count` samples, an even number, into the first `total` of `out`; the scale of the spectrum stays. */
  halve(input: Float64Array, count: number, out: Float64Array, total: number): void {
    if (this.#sections.length === fewSections) halveShort(this.#sections, input, count, out, total)
    else halveLong(this.#sections, input, count, out, total)
  }
}

/** Section by section, each y[m] = x[m - 1] + a (x[m] - y[m - 1]). */
function halveShort(a: Float64Array, input: Float64Array, count: number, out: Float64Array, total: number): void {
  const [a0, a1, b0, b1] = a
  let x0 = 0
  let x1 = 0
  let x2 = 0
  let z0 = 0
  let z1 = 0
  let z2 = 0
  for (let m = 0; m < total; m++) {
    const i = 2 * m
    const later = i < count ? input[i + 1] : 0
    const first = i < count ? input[i] : 0
    const y1 = x0 + a0 * (later - x1)
    const y2 = x1 + a1 * (y1 - x2)
    const w1 = z0 + b0 * (first - z1)
    const w2 = z1 + b1 * (w1 - z2)
    x0 = later
    x1 = y1
    x2 = y2
    z0 = first
    z1 = w1
    z2 = w2
    out[m] = y2 + w2
  }
}

function halveLong(a: Float64Array, input: Float64Array, count: number, out: Float64Array, total: number): void {
  const [a0, a1, a2, a3, b0, b1, b2, b3] = a
  let x0 = 0
  let x1 = 0
  let x2 = 0
  let x3 = 0
  let x4 = 0
  let z0 = 0
  let z1 = 0
  let z2 = 0
  let z3 = 0
  let z4 = 0
  for (let m = 0; m < total; m++) {
    const i = 2 * m
    const later = i < count ? input[i + 1] : 0
    const first = i < count ? input[i] : 0
    const y1 = x0 + a0 * (later - x1)
    const y2 = x1 + a1 * (y1 - x2)
    const y3 = x2 + a2 * (y2 - x3)
    const y4 = x3 + a3 * (y3 - x4)
    const w1 = z0 + b0 * (first - z1)
    const w2 = z1 + b1 * (w1 - z2)
    const w3 = z2 + b2 * (w2 - z3)
    const w4 = z3 + b3 * (w3 - z4)
    x0 = later
    x1 = y1
    x2 = y2
    x3 = y3
    x4 = y4
    z0 = first
    z1 = w1
    z2 = w2
    z3 = w3
    z4 = w4
    out[m] = y4 + w4
  }
}

/** All-pass coefficients, rising; every other one belongs to the same chain. */
function coefficientsOf(pass: number): number[] {
  const transition = 2 * (0.25 - pass)
  const k = Math.tan(((1 - 2 * transition) * Math.PI) / 4) ** 2
  const root = (1 - k * k) ** 0.25
  const e = (0.5 * (1 - root)) / (1 + root)
  // The series of the elliptic nome; the next term is 1707 e^17.
  const q = e + 2 * e ** 5 + 15 * e ** 9 + 150 * e ** 13
  const ratio = folded ** 2 / (1 - folded ** 2)
  const count = Math.log((ratio * ratio) / 16) / Math.log(q) <= 2 * fewSections + 1 ? fewSections : manySections
  const order = 2 * count + 1
  return Array.from({ length: count }, (_, at) => {
    const angle = ((at + 1) * Math.PI) / order
    let above = 0
    let below = 0.5
    for (let i = 0; i < 8; i++) {
      const sign = i % 2 === 0 ? 1 : -1
      above += sign * q ** (i * (i + 1)) * Math.sin((2 * i + 1) * angle)
      if (i > 0) below += sign * q ** (i * i) * Math.cos(2 * i * angle)
    }
    const w2 = ((q ** 0.25 * above) / below) ** 2
    const r = Math.sqrt((1 - w2 * k) * (1 - w2 / k)) / (1 + w2)
    return (1 - r) / (1 + r)
  })
}
