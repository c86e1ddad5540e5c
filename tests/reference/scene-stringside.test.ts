/**
 * The string side against what is known outside: beats of two polarisations, how strings ring along, what a bridge that gives
 * way does to them, how stiffness grows up the neck.
 */
import { describe, expect, it } from 'vitest'
import { admittance, bodyEffect, modeSets } from '../../src/core/scene/body.ts'
import { kindNeighbourValues } from '../../src/core/scene/kinds.ts'
import { ringing } from '../../src/core/scene/neighbours.ts'
import { parseScene } from '../../src/core/scene/parse.ts'
import { render } from '../../src/core/scene/render.ts'

const rateHz = 48000
type Samples = Float32Array | Float64Array

/** What a Hann window from `from` on sees at `hz`: amplitude and phase at the window's middle. */
function seen(samples: Samples, hz: number, from: number, length: number): { size: number; phase: number } {
  let re = 0
  let im = 0
  for (let i = 0; i < length; i++) {
    const weight = (1 - Math.cos((2 * Math.PI * i) / length)) / length
    const angle = (2 * Math.PI * hz * (i - length / 2)) / rateHz
    re += weight * (samples[from + i] as number) * Math.cos(angle)
    im -= weight * (samples[from + i] as number) * Math.sin(angle)
  }
  return { size: 2 * Math.hypot(re, im), phase: Math.atan2(im, re) }
}

/** Frequency near `hz`, from the phases of two windows half a length apart. */
function measuredHz(samples: Samples, hz: number, from: number, length: number): number {
  const step = length / 2
  const turn = seen(samples, hz, from + step, length).phase - seen(samples, hz, from, length).phase
  const expected = (2 * Math.PI * hz * step) / rateHz
  const rest = turn - expected
  return hz + ((rest - 2 * Math.PI * Math.round(rest / (2 * Math.PI))) * rateHz) / (2 * Math.PI * step)
}

describe('two polarisations', () => {
  // Two tones beat at the difference of their frequencies (any text on acoustics): f (2^(c / 1200) - 1).
  it.each([
    [220, 10],
    [329.63, 5],
  ])('beat at the difference of their frequencies: %d Hz, %d c apart', (hz, polCents) => {
    const pluck = { firstPartialHz: hz, polMix: 1, polCents, partialLevelsDb: [0] }
    const { clean } = render(parseScene({ durationS: 4, plucks: [pluck] }), new Map())
    const beatHz = hz * (2 ** (polCents / 1200) - 1)
    const middleHz = hz + beatHz / 2
    // Windows of 20 ms every 5 ms: dips are found to 2.5 ms.
    const sizes = Array.from({ length: 780 }, (_, i) => seen(clean, middleHz, 240 * i, 960).size)
    const dips = sizes.flatMap((size, i) =>
      i > 0 && i < 779 && size < (sizes[i - 1] as number) && size <= (sizes[i + 1] as number) ? [0.005 * i + 0.01] : [],
    )
    expect(dips.length).toBe(Math.floor(3.9 * beatHz + 0.5))
    for (const [i, dipS] of dips.entries()) expect(Math.abs(dipS - (i + 0.5) / beatHz)).toBeLessThan(0.004)
  })
})

describe('a neighbour', () => {
  const string = { firstPartialHz: 110, stiffness: 0, decayS: 2, highDecayRatio: 0.5 }
  // Amplitude falls as exp(-6.91 t / T60): the definition of T60, ln 1000 = 6.91 (ISO 3382).
  const ringS = 2 / Math.log(1000)
  const tone = (hz: number, stopS: number, lengthS: number): Float64Array =>
    Float64Array.from({ length: lengthS * rateHz }, (_, i) =>
      i < stopS * rateHz ? Math.sin((2 * Math.PI * hz * i) / rateHz) : 0,
    )

  it('grows in T60 / 6.91 when driven at its pitch, and rings out as slowly', () => {
    const ring = ringing(tone(110, 3, 4.5), [string], rateHz)
    const sizeAt = (s: number): number => seen(ring, 110, Math.round(s * rateHz) - 2400, 4800).size
    const full = sizeAt(2.9)
    // 2.9 s are ten ring times: 5e-5 are missing. A window of 0.1 s sees the mean of an exponential, up to
    // (0.1 / ringS)^2 / 60 = 0.2 % off.
    for (const [s, share] of [
      [ringS, 1 - 1 / Math.E],
      [2 * ringS, 1 - 1 / Math.E ** 2],
    ] as const) {
      expect(sizeAt(s) / full).toBeCloseTo(share, 2)
    }
    expect(sizeAt(3.1 + ringS) / sizeAt(3.1)).toBeCloseTo(1 / Math.E, 3)
  })
  it("answers at the music's pitch and then rings at its own", () => {
    // 104 Hz, 97 c under the string, then nothing.
    const ring = ringing(tone(104, 3, 5), [string], rateHz)
    // After 2 s the start has died to 1e-3 of what rang then; the driven part is weak, and the start is 6 Hz off it.
    expect(Math.abs(measuredHz(ring, 104, 2.1 * rateHz, 0.5 * rateHz) - 104)).toBeLessThan(0.02)
    expect(Math.abs(measuredHz(ring, 110, 3.2 * rateHz, 1 * rateHz) - 110)).toBeLessThan(0.02)
  })
  it('answers at every partial alike', () => {
    const impulse = new Float64Array(rateHz)
    impulse[0] = 1
    const ring = ringing(impulse, [{ ...string, decayS: 60, highDecayRatio: 1 }], rateHz)
    for (const k of [1, 2, 5, 12])
      expect(seen(ring, 110 * k, 0, 24000).size).toBeCloseTo(Math.exp(-(6.9078 / 60) * 0.25), 2)
  })
  it('rings from the first sample on when the stage has played before', () => {
    const drive = Float64Array.from({ length: rateHz }, (_, i) => Math.sin((2 * Math.PI * 110 * i) / rateHz))
    const warm = ringing(drive, [string], rateHz, rateHz)
    expect(seen(warm, 110, 0, 4800).size / seen(warm, 110, 43200, 4800).size).toBeGreaterThan(0.95)
  })
})

describe('levels of what rings along', () => {
  const strings = [110, 146.83, 196].map((firstPartialHz) => ({ firstPartialHz, decayS: 5 }))
  const scene = (neighbours: object) =>
    render(
      parseScene({
        plucks: [{ onsetS: 0.5, firstPartialHz: 82.41, decayS: 5 }],
        noises: [{ id: 'pink', snrDb: 10 }],
        ...(Object.keys(neighbours).length === 0 ? {} : { neighbours: { strings, ...neighbours } }),
      }),
      new Map(),
    )
  const db = (over: Samples, under: Samples): number => {
    const power = (s: Samples): number => Array.from(s.subarray(24000, 72000)).reduce((sum, v) => sum + v * v, 0)
    return 10 * Math.log10(power(over) / power(under))
  }
  const minus = (a: Float32Array, b: Float32Array): Float64Array => Float64Array.from(a, (v, i) => v - (b[i] as number))

  it('are those that were asked for, each side for itself', () => {
    const bare = scene({})
    const { sympatheticDb } = kindNeighbourValues('acoustic')
    const along = scene({ kind: 'acoustic' })
    expect(db(minus(along.clean, bare.clean), bare.clean)).toBeCloseTo(sympatheticDb, 3)
    expect(db(along.clean, along.noise)).toBeCloseTo(10, 4)
    const driven = scene({ drivenDb: 20 })
    // Nearly nothing but the strings: the ratio still holds.
    expect(db(driven.clean, driven.noise)).toBeCloseTo(10, 4)
    expect(driven.clean).toEqual(bare.clean)
  })
  it('are nothing where a hand lies on the strings', () => {
    const bare = scene({})
    const damped = scene({ kind: 'acoustic', damped: true })
    expect(damped.clean).toEqual(bare.clean)
    expect(damped.noise).toEqual(bare.noise)
  })
})

describe('the body', () => {
  it('has its air mode under its top mode, where they are published', () => {
    // A0 90-105 Hz, T1 170-220 Hz (Christensen & Vistisen 1980, JASA 68:758-766; from memory). Peaks of Re Y are the modes.
    const body = { id: 'acoustic', impedanceKgPerS: 0.5, quality: 25 } as const
    const scan = Array.from({ length: 2000 }, (_, i) => 50 + 0.1 * i)
    const re = scan.map((hz) => admittance(body, hz).re)
    const peaks = scan.filter((_, i) => i > 0 && re[i] > (re[i - 1] as number) && re[i] >= (re[i + 1] ?? 0))
    expect(peaks).toHaveLength(2)
    expect(peaks[0]).toBeGreaterThan(90)
    expect(peaks[0]).toBeLessThan(105)
    expect(peaks[1]).toBeGreaterThan(170)
    expect(peaks[1]).toBeLessThan(220)
    expect(modeSets.acoustic[0]?.massKg).toBeGreaterThan(modeSets.acoustic[1]?.massKg ?? Number.NaN)
  })
  it('flattens under a mode and sharpens above, and damps most on it', () => {
    const body = { id: 'solid', impedanceKgPerS: 0.5, quality: 25 } as const
    expect(bodyEffect(body, 1, 40, 40).pullCents).toBeLessThan(0)
    expect(bodyEffect(body, 1, 70, 70).pullCents).toBeGreaterThan(0)
    expect(bodyEffect(body, 1, 55, 55).decayPerS).toBeGreaterThan(10 * bodyEffect(body, 1, 70, 70).decayPerS)
  })
  it.each([
    [82.41, 1],
    [110, 2],
    [146.83, 1],
    [246.94, 1],
    [82.41, 5],
  ])('pulls and damps as the line equation says: string at %d Hz, partial %d', (f0Hz, k) => {
    // A string of impedance Z, fixed at one end and on an admittance Y at the other: the wave comes back unchanged after a
    // round trip, (1 - Z Y) / (1 + Z Y) exp(-i w / f0) = 1 (Fletcher & Rossing, section 2.12), w complex. Solved by Newton.
    const body = { id: 'acoustic', impedanceKgPerS: 0.3, quality: 25 } as const
    const z = body.impedanceKgPerS
    // Y at a complex frequency, from its definition.
    const y = (w: Complex): Complex =>
      modeSets.acoustic.reduce<Complex>(
        (sum, { frequencyHz, massKg }) => {
          const own = 2 * Math.PI * frequencyHz
          const loss = times(w, { re: 0, im: own / body.quality })
          const square = times(w, w)
          const below = { re: own * own - square.re + loss.re, im: -square.im + loss.im }
          return plus(sum, over(times(w, { re: 0, im: 1 / massKg }), below))
        },
        { re: 0, im: 0 },
      )
    const wrong = (w: Complex): Complex => {
      const zy = times(y(w), { re: z, im: 0 })
      const reflected = over({ re: 1 - zy.re, im: -zy.im }, { re: 1 + zy.re, im: zy.im })
      const size = Math.exp(w.im / f0Hz)
      const round = { re: size * Math.cos(w.re / f0Hz), im: -size * Math.sin(w.re / f0Hz) }
      const back = times(reflected, round)
      return { re: back.re - 1, im: back.im }
    }
    let w: Complex = { re: 2 * Math.PI * k * f0Hz, im: 0 }
    for (let i = 0; i < 30; i++) {
      const h = 1e-4
      const here = wrong(w)
      const there = wrong({ re: w.re + h, im: w.im })
      const step = over(here, { re: (there.re - here.re) / h, im: (there.im - here.im) / h })
      w = { re: w.re - step.re, im: w.im - step.im }
    }
    const { pullCents, decayPerS } = bodyEffect(body, k, k * f0Hz, f0Hz)
    const exactCents = 1200 * Math.log2(w.re / (2 * Math.PI * k * f0Hz))
    // First order in Z Y: what is left out of either is that share of it, each mode counted by itself.
    const share = modeSets.acoustic.reduce((sum, { frequencyHz, massKg }) => {
      const [own, at] = [2 * Math.PI * frequencyHz, 2 * Math.PI * k * f0Hz]
      return sum + (4 * z * at) / massKg / Math.hypot(own * own - at * at, (at * own) / body.quality)
    }, 0)
    const scale = Math.hypot(exactCents, (w.im / w.re) * (1200 / Math.LN2))
    expect(share).toBeLessThan(0.2)
    expect(Math.abs(pullCents - exactCents)).toBeLessThan(share * scale)
    expect(Math.abs(decayPerS - w.im)).toBeLessThan((share * scale * w.re * Math.LN2) / 1200)
  })
})

interface Complex {
  readonly re: number
  readonly im: number
}
const plus = (a: Complex, b: Complex): Complex => ({ re: a.re + b.re, im: a.im + b.im })
const times = (a: Complex, b: Complex): Complex => ({ re: a.re * b.re - a.im * b.im, im: a.re * b.im + a.im * b.re })
const over = (a: Complex, b: Complex): Complex => {
  const size = b.re * b.re + b.im * b.im
  return { re: (a.re * b.re + a.im * b.im) / size, im: (a.im * b.re - a.re * b.im) / size }
}

describe('stiffness up the neck', () => {
  // Kemp 2020, SN Appl. Sci. 2:636, abstract: a bass string about 100 c sharp at partial 10 at fret 12, and about 100 c at
  // partial 6 at fret 21. Both follow from one open string by B ~ 1 / L^2. "About": to 5 %.
  it.each([
    [12, 10],
    [21, 6],
  ])('fret %d: partial %d is about 100 c sharp', (fret, k) => {
    const stiffness = 3.1e-4
    const scene = parseScene({ durationS: 0.5, plucks: [{ firstPartialHz: 61.74, stiffness, fret }] })
    const { partials } = render(scene, new Map())
    const [first] = partials
    const other = partials[k - 1]
    const b = stiffness * 2 ** (fret / 6)
    const f0Hz = (first?.frequencyHz ?? 0) / Math.sqrt(1 + b)
    expect(Math.abs(1200 * Math.log2((other?.frequencyHz ?? 0) / (k * f0Hz)) - 100)).toBeLessThan(5)
  })
})
