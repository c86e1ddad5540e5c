/**
 * The pieces that the spectral methods are made of, each against arithmetic done by hand or a direct sum.
 */
import { describe, expect, it } from 'vitest'
import { CombSearch } from '../../src/core/methods/combsearch.ts'
import { Decimator } from '../../src/core/methods/decimator.ts'
import { FrameSpectrum } from '../../src/core/methods/framespectrum.ts'
import { GapNoise } from '../../src/core/methods/gapnoise.ts'
import { middleOf } from '../../src/core/methods/middle.ts'
import { PartialMoments } from '../../src/core/methods/moments.ts'
import { LawFit, partialHz, priorStiffness } from '../../src/core/methods/stringlaw.ts'

const cents = (hz: number, referenceHz: number): number => 1200 * Math.log2(hz / referenceHz)

/** Sum of cosines, amplitude 1 each unless said, time 0 at the start. */
const tones = (n: number, rate: number, hz: readonly number[], amplitude: (i: number) => number = () => 1) =>
  Float64Array.from({ length: n }, (_, t) =>
    hz.reduce((sum, f, i) => sum + amplitude(i) * Math.cos((2 * Math.PI * f * t) / rate + i), 0),
  )

function decimated(decimator: Decimator, samples: ArrayLike<number>): number[] {
  const out: number[] = []
  for (let i = 0; i < samples.length; i++) if (decimator.push(samples[i])) out.push(decimator.output)
  return out
}

describe('Decimator', () => {
  const rate = 48000
  const factor = 4
  const passHz = 4000
  const gainAt = (hz: number): number => {
    // The response of the filter itself: outputs against the sine and cosine that the input was, over whole seconds.
    const out = decimated(new Decimator(rate, factor, passHz), tones(rate, rate, [hz])).slice(100, 11100)
    let re = 0
    let im = 0
    out.forEach((value, m) => {
      const phase = (2 * Math.PI * hz * (m + 100) * factor) / rate
      re += value * Math.cos(phase)
      im += value * Math.sin(phase)
    })
    // 11000 outputs at 12 kHz: whole periods of every multiple of 12 / 11 Hz, and of what folds back from it.
    return (2 * Math.hypot(re, im)) / out.length
  }
  const onGrid = (hz: number): number => Math.round((hz * 11) / 12) * (12 / 11)

  it('passes what it promises: within 80 dB of 1 up to the pass band’s end', () => {
    // A Kaiser design has equal ripple in pass and stop band: 10^(-80/20) = 1e-4. The length formula is good to a tenth or so.
    for (const hz of [60, 500, 1500, 3000, 3900]) expect(Math.abs(gainAt(onGrid(hz)) - 1)).toBeLessThan(1.2e-4)
  })

  it('lets nothing fold onto the pass band: 80 dB down', () => {
    for (const hz of [8100, 9000, 11900, 15000, 19000, 23000]) {
      const out = decimated(new Decimator(rate, factor, passHz), tones(rate, rate, [hz])).slice(100)
      const rms = Math.sqrt(out.reduce((sum, value) => sum + value * value, 0) / out.length)
      // As above: the design's length formula is good to a tenth or so of the ripple, 1.6 dB.
      expect(20 * Math.log10(rms * Math.SQRT2), `${hz} Hz`).toBeLessThan(20 * Math.log10(1.2e-4))
    }
  })

  it('output m speaks of input m * factor, and comes `reachSamples` later', () => {
    const decimator = new Decimator(rate, factor, passHz)
    const middle = 40 * factor
    const impulse = new Float64Array(1000)
    impulse[middle] = 1
    const out: number[] = []
    const dueAt: number[] = []
    impulse.forEach((sample, i) => {
      if (!decimator.push(sample)) return
      out.push(decimator.output)
      dueAt.push(i)
    })
    expect(out.indexOf(Math.max(...out))).toBe(40)
    for (let d = 1; d < 20; d++) expect(out[40 + d]).toBeCloseTo(out[40 - d], 14)
    dueAt.forEach((at, m) => {
      expect(at).toBe(m * factor + decimator.reachSamples)
    })
    // Nothing outside the reach is heard.
    const furthest = Math.ceil(decimator.reachSamples / factor) + 1
    expect(out[40 + furthest]).toBe(0)
    expect(out[40 - furthest]).toBe(0)
  })

  it('factor 1 is no filter', () => {
    expect(decimated(new Decimator(8000, 1, 3700), [1, -2, 3])).toEqual([1, -2, 3])
  })
})

describe('FrameSpectrum', () => {
  const rate = 48000
  const n = 4096

  it.each([233.1, 1000.3, 5004.9])('reads %d Hz by the ratio of two points exactly, wherever it falls', (hz) => {
    const spectrum = new FrameSpectrum(n, rate)
    for (let part = 0; part < 1; part += 0.13) {
      const f = hz + (part * rate) / n
      spectrum.load(Float32Array.from(tones(n, rate, [f])))
      const peak = spectrum.peakBin(1, spectrum.power.length - 2)
      const rough = spectrum.parabolaHz(peak)
      // A hundredth of an unpadded bin, as promised, plus the mirror image's side lobe below.
      expect(Math.abs(rough - f)).toBeLessThan((0.011 * rate) / n)
      // What is left is the tone's own mirror image, 2 f n / rate bins away: Hann side lobes fall as 1 / (pi d (d^2 - 1)), peak 1 / 2.
      const d = (2 * f * n) / rate
      const leak = 2 / (Math.PI * d * (d * d - 1))
      expect(Math.abs(spectrum.refineHz(rough) - f)).toBeLessThan(((1.5 * leak + 1e-6) * rate) / n)
    }
  })

  it('hears no steady offset, alone or under a tone', () => {
    const spectrum = new FrameSpectrum(n, rate)
    spectrum.load(new Float32Array(n).fill(0.7))
    expect(Math.max(...spectrum.power)).toBe(0)
    const tone = Float32Array.from(tones(n, rate, [110]))
    spectrum.load(tone)
    const alone = spectrum.refineHz(110)
    spectrum.load(tone.map((value) => value + 0.5))
    // Single precision of samples up to 1.5: 1e-7 a sample, far less over 4096 of them.
    expect(Math.abs(cents(spectrum.refineHz(110), alone))).toBeLessThan(1e-4)
  })

  it('says -1 where there is no peak', () => {
    const spectrum = new FrameSpectrum(n, rate)
    spectrum.load(new Float32Array(n))
    expect(spectrum.peakBin(1, 500)).toBe(-1)
    spectrum.load(Float32Array.from(tones(n, rate, [1000])))
    // On the flank of the line: the highest bin is the range's end.
    const top = spectrum.peakBin(1, 1000)
    expect(spectrum.peakBin(1, top - 1)).toBe(-1)
    expect(spectrum.peakBin(top + 1, top)).toBe(-1)
  })
})

describe('middleOf', () => {
  it('is what sorting would put in the middle, ties and all', () => {
    let state = 3
    const any = (): number => {
      state = (Math.imul(state, 1664525) + 1013904223) | 0
      return state
    }
    for (let n = 1; n <= 81; n++) {
      for (const values of [Float64Array.from({ length: n }, any), Float64Array.from({ length: n }, () => any() & 3)]) {
        expect(middleOf(values.slice())).toBe(values.toSorted()[n >> 1])
      }
    }
    expect(middleOf(Float64Array.of(5, 4, 3, 2, 1))).toBe(3)
    expect(middleOf(new Float64Array(6))).toBe(0)
  })
})

describe('PartialMoments', () => {
  const rate = 8000
  const n = 683
  const measured = (hz: readonly number[], askedHz: readonly number[], frame: Float64Array) => {
    const moments = new PartialMoments(n, hz.length, 0.25)
    moments.load(frame)
    moments.measure(
      Float64Array.from(askedHz, (f) => (2 * Math.PI * f) / rate),
      hz.length,
    )
    return moments
  }

  it('measures amplitude and frequency of exact sinusoids where they are asked for', () => {
    const hz = [110, 220.2, 330.6, 441.3, 552.6]
    const moments = measured(
      hz,
      hz,
      tones(n, rate, hz, (i) => 1 / (i + 1)),
    )
    hz.forEach((f, k) => {
      // a is half the peak amplitude; cross-talk is taken out to its own rate of convergence and the table's 1e-6.
      expect(moments.power[k] * (2 * (k + 1)) ** 2).toBeCloseTo(1, 4)
      expect(Math.abs((1731 * moments.errorRad[k] * rate) / (2 * Math.PI * f))).toBeLessThan(1e-3)
      expect(Math.abs(moments.decay[k] * rate)).toBeLessThan(1e-2)
    })
  })

  it('finds an error of frequency and a decay, one from the other', () => {
    const decayPerS = 6
    const hz = [200, 400]
    const asked = [200.4, 399]
    const frame = tones(n, rate, hz).map((value, t) => value * Math.exp((-decayPerS * t) / rate))
    const moments = measured(hz, asked, frame)
    hz.forEach((f, k) => {
      const error = (moments.errorRad[k] * rate) / (2 * Math.PI)
      // The series stops at third order in z, half a frame's turn and fall: |z| = 0.37 at most, z^5 / 100 of half a frame, in Hz 4e-3 at most.
      expect(Math.abs(error - (f - asked[k]))).toBeLessThan(4e-3)
      expect(moments.decay[k] * rate).toBeCloseTo(decayPerS, 1)
    })
  })

  it('says how noise moves it: errorGain is the variance over many frames of noise', () => {
    let state = 7
    const uniform = (): number => {
      state = (Math.imul(state, 1664525) + 1013904223) | 0
      return (Math.sqrt(3) * state) / 2 ** 31
    }
    const tone = tones(n, rate, [1000], () => 2)
    const level = 0.1
    let sum = 0
    const runs = 600
    const moments = new PartialMoments(n, 1, 0.25)
    for (let run = 0; run < runs; run++) {
      moments.load(tone.map((value) => value + level * uniform()))
      moments.measure(Float64Array.of((2 * Math.PI * 1000) / rate), 1)
      sum += moments.errorRad[0] ** 2
    }
    const told = moments.errorGain * level ** 2
    // A variance from 600 independent values scatters by sqrt(2 / 600) = 6 %: three and a half of that.
    expect(sum / runs / told).toBeGreaterThan(0.8)
    expect(sum / runs / told).toBeLessThan(1.2)
  })
})

describe('LawFit', () => {
  const law = { f1Hz: 100, stiffness: 1e-4 }

  it('puts partials where the law says, by hand', () => {
    // 10 * 100 * sqrt((1 + 0.01) / 1.0001).
    expect(partialHz(law, 10)).toBeCloseTo(1000 * Math.sqrt(1.01 / 1.0001), 10)
    expect(partialHz(law, 1)).toBe(100)
  })

  it('one partial: the shift is its offset, the spread is its error and the usual bend', () => {
    const fit = new LawFit(1)
    expect(fit.fit({ f1Hz: 100, stiffness: 6e-5 }, Float64Array.of(3), Float64Array.of(0.25), 1)).toBe(true)
    // Partial 1 has no slope with B: the prior moves no cent, and B is the prior's as no partial says anything of it.
    expect(fit.shiftCents).toBeCloseTo(3, 12)
    expect(fit.stiffness).toBeCloseTo(priorStiffness, 12)
    expect(fit.count).toBeGreaterThan(0)
  })

  it('all partials shifted alike and exact: that shift, and B as it was', () => {
    const fit = new LawFit(12)
    fit.fit(law, new Float64Array(12).fill(-2), new Float64Array(12).fill(1e-6), 12)
    // The prior pulls B by 4e-5 with weight 1 / (1.5e-4)^2 against sum of slope^2 / 1e-6 = 866^2 * 12 * ... / 1e-6: nothing.
    expect(fit.shiftCents).toBeCloseTo(-2, 3)
    expect(fit.stiffness).toBeCloseTo(1e-4, 7)
    expect(fit.bentCents).toBeLessThan(0.01)
  })

  it('recovers another shift and stiffness', () => {
    const other = { f1Hz: 100.1, stiffness: 1.6e-4 }
    const offsets = Float64Array.from({ length: 10 }, (_, i) => cents(partialHz(other, i + 1), partialHz(law, i + 1)))
    const fit = new LawFit(10)
    fit.fit(law, offsets, new Float64Array(10).fill(1e-4), 10)
    // Linear in B: the second-order term at partial 10 is 1731 / 4 * (100 * 6e-5)^2 = 0.016 c, most of it taken up by B.
    expect(Math.abs(fit.shiftCents - cents(100.1, 100))).toBeLessThan(0.005)
    expect(Math.abs(fit.stiffness - 1.6e-4)).toBeLessThan(2e-6)
  })

  it('gives no vote to one partial pulled 40 c away', () => {
    const offsets = new Float64Array(10)
    offsets[2] = 40
    const fit = new LawFit(10)
    fit.fit(law, offsets, new Float64Array(10).fill(0.01), 10)
    expect(fit.trust[2]).toBe(0)
    expect(Math.abs(fit.shiftCents)).toBeLessThan(0.05)
  })

  it('cannot say without a measured partial', () => {
    expect(new LawFit(3).fit(law, new Float64Array(3), new Float64Array(3).fill(Number.POSITIVE_INFINITY), 3)).toBe(
      false,
    )
  })
})

describe('CombSearch', () => {
  const binHz = 2
  const bins = 1000
  const lobeHz = 8
  /** Lines of triangle shape, 4 bins to each side, on a floor of 1. */
  const lines = (hz: readonly number[], height: number): Float64Array =>
    Float64Array.from({ length: bins }, (_, i) =>
      hz.reduce((sum, f) => sum + height * Math.max(0, 1 - Math.abs(i - f / binHz) / 4), 1),
    )

  it('finds the law within its own step, up to 150 c away', () => {
    for (const off of [-140, -60, 0, 35, 140]) {
      const law = { f1Hz: 110 * 2 ** (off / 1200), stiffness: 1e-4 }
      const search = new CombSearch(110, 10, binHz, bins, lobeHz, null)
      search.search(
        lines(
          Array.from({ length: 10 }, (_, i) => partialHz(law, i + 1)),
          1000,
        ),
      )
      // A step is a quarter of the line's half-width at partial 10: 8 Hz in 1100, 3.1 c; plateaus of stiffness cost another.
      expect(Math.abs(cents(search.law.f1Hz, law.f1Hz)), `${off} c`).toBeLessThan(6.3)
    }
  })

  it('one line a million times stronger does not outvote ten quiet ones', () => {
    const law = { f1Hz: 112, stiffness: 2e-5 }
    const power = lines(
      Array.from({ length: 10 }, (_, i) => partialHz(law, i + 1)),
      1000,
    )
    const loud = lines([318], 1e6)
    const search = new CombSearch(110, 10, binHz, bins, lobeHz, null)
    search.search(power.map((value, i) => value + loud[i]))
    expect(Math.abs(cents(search.law.f1Hz, 112))).toBeLessThan(6.3)
  })

  it('whitens by the room where that is more than it sees', () => {
    const room = new Float64Array(bins).fill(50)
    const search = new CombSearch(110, 10, binHz, bins, lobeHz, room)
    search.search(new Float64Array(bins).fill(1))
    expect([...search.noise]).toEqual([...room])
  })
})

describe('GapNoise', () => {
  const partials = 8
  const omega = Float64Array.from({ length: partials }, (_, i) => ((i + 1) * 2 * Math.PI * 200) / 8000)
  const open = (roomPower: Float64Array | null) =>
    new GapNoise({ rateHz: 8000, binHz: 4, lobe: 2, windowEnergy: 100, roomPower, bins: 500, partials })

  it('is the level between the lines, whatever the lines are', () => {
    const power = Float64Array.from({ length: 500 }, (_, i) => (i > 0 && Math.abs((i % 50) - 0) < 5 ? 1e9 : 300))
    const noise = open(null)
    noise.read(power, omega)
    // 300 / 100, over 0.846: made for exponentially distributed powers, of which the middle ones are lower than the mean.
    for (let k = 0; k < partials; k++) expect(noise.at(k, omega[k])).toBeCloseTo(3 / 0.846, 10)
  })

  it('one foreign line in a gap changes nothing; a learnt room that is louder counts', () => {
    const power = new Float64Array(500).fill(300)
    power.fill(1e9, 122, 129)
    const noise = open(null)
    noise.read(power, omega)
    expect(noise.at(3, omega[3])).toBeCloseTo(3 / 0.846, 10)
    const loud = open(new Float64Array(500).fill(1000))
    loud.read(power, omega)
    expect(loud.at(3, omega[3])).toBe(10)
  })
})
