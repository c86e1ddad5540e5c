/** Noises that are not noise: tones, clicks and whistles stand where they should. */
import { describe, expect, it } from 'vitest'
import { fill } from '../../src/core/fields.ts'
import { randomStream } from '../../src/core/maths/random.ts'
import { densityAt, type Spectrum, welch } from '../../src/core/maths/spectrum.ts'
import { noiseById } from '../../src/core/scene/noises/index.ts'
import { pluckFields, type Recording } from '../../src/core/scene/scene.ts'

interface Ask {
  readonly values?: Record<string, number>
  readonly rateHz?: number
  readonly durationS: number
  readonly seed?: number
  readonly targetHz?: number | null
  readonly stiffness?: number
  readonly recording?: Recording | null
}

function filled(id: string, ask: Ask): Float64Array {
  const { values = {}, rateHz = 8000, durationS, seed = 1, targetHz = null, stiffness = 0, recording = null } = ask
  const noise = noiseById(id)
  const target = new Float64Array(Math.round(rateHz * durationS))
  noise.fill(target, {
    sampleRateHz: rateHz,
    random: randomStream(seed, id),
    values: fill(noise.fields, values),
    // Somebody plucks another string: the neighbour does not care.
    pluck: fill(pluckFields, { firstPartialHz: 87, stiffness }),
    onsetS: 0,
    targetHz,
    recording,
  })
  return target
}

const spectrum = (samples: Float64Array, rateHz: number, segment = 8192): Spectrum =>
  welch(Float32Array.from(samples), rateHz, segment)

/** Frequency of the strongest sine within `spreadHz` of `nearHz`: the top of a Hann transform, which a decay does not move. */
function toneHz(samples: Float64Array, rateHz: number, nearHz: number, spreadHz: number): number {
  const windowed = samples.map((value, n) => value * (0.5 - 0.5 * Math.cos((2 * Math.PI * n) / samples.length)))
  const power = (hz: number): number => {
    const stepRe = Math.cos((2 * Math.PI * hz) / rateHz)
    const stepIm = Math.sin((2 * Math.PI * hz) / rateHz)
    let [re, im, cosine, sine] = [0, 0, 1, 0]
    for (const value of windowed) {
      re += value * cosine
      im += value * sine
      ;[cosine, sine] = [cosine * stepRe - sine * stepIm, sine * stepRe + cosine * stepIm]
    }
    return re * re + im * im
  }
  let best = nearHz
  for (let step = spreadHz / 8; step > 1e-4; step /= 3) {
    const reach = step === spreadHz / 8 ? 8 : 3
    const tried = Array.from({ length: 2 * reach + 1 }, (_, i) => best + (i - reach) * step)
    best = tried.reduce((top, hz) => (power(hz) > power(top) ? hz : top))
  }
  return best
}

const cents = (hz: number, reference: number): number => 1200 * Math.log2(hz / reference)
const db = (power: number): number => 10 * Math.log10(power)

/** Starts of strokes: where a block is so much louder than the one before, dB. */
function strokes(samples: Float64Array, rateHz: number, blockS = 0.01, riseDb = 6): number[] {
  const block = Math.round(rateHz * blockS)
  const power = Array.from({ length: Math.floor(samples.length / block) }, (_, i) =>
    samples.subarray(i * block, (i + 1) * block).reduce((sum, value) => sum + value * value, 0),
  )
  return power.flatMap((value, i) => (i > 0 && db(value / (power[i - 1] as number)) > riseDb ? [i * blockS] : []))
}

/** 1.2 s of one stroke's ring: what comes after the first one heard. Blocks hold several beats between notes of a chord. */
function ring(samples: Float64Array, rateHz: number): Float64Array {
  const [first = Number.NaN] = strokes(samples, rateHz, 0.1, 15)
  return samples.slice(Math.round((first + 0.15) * rateHz), Math.round((first + 1.35) * rateHz))
}

describe('unison', () => {
  // T60 of 4 s and a stroke every 3 s: each is 45 dB louder than what it damps, and is found. A take of 4.5 s holds one.
  const clear = { strokeS: 3, decayS: 4 }
  // The top of a lone tone's transform is exact; its neighbours' side lobes, an octave away, are under -80 dB.
  const toleranceCents = 0.05

  it.each([
    ['at the note in hand, whatever is plucked', 0, 110],
    ['an octave up', 1, 146.83],
  ])('sounds just so far off %s', (_, octaves, targetHz) => {
    const sides = new Set<number>()
    for (let seed = 1; seed <= 8; seed++) {
      const values = { nearCents: 12, farCents: 12, octaves, ...clear }
      const wanted = targetHz * 2 ** octaves
      const off = cents(
        toneHz(ring(filled('unison', { values, durationS: 4.5, seed, targetHz }), 8000), 8000, wanted, 4),
        wanted,
      )
      expect(Math.abs(Math.abs(off) - 12)).toBeLessThan(toleranceCents)
      sides.add(Math.sign(off))
    }
    expect(sides.size).toBe(2)
  })
  it('is 8 to 20 cents off by itself, and differently every time', () => {
    const offs = Array.from({ length: 12 }, (_, seed) =>
      Math.abs(
        cents(
          toneHz(ring(filled('unison', { values: clear, durationS: 4.5, seed, targetHz: 220 }), 8000), 8000, 220, 4),
          220,
        ),
      ),
    )
    expect(Math.min(...offs)).toBeGreaterThan(8 - toleranceCents)
    expect(Math.max(...offs)).toBeLessThan(20 + toleranceCents)
    expect(new Set(offs.map((off) => off.toFixed(1))).size).toBeGreaterThan(8)
  })
  it('has the stiffness of the string in hand', () => {
    // f5 / (5 f1) = sqrt((1 + 25 B) / (1 + B)) (Fletcher 1964): for B = 1e-3 20.6 c.
    const values = { nearCents: 0, farCents: 0, ...clear }
    const samples = ring(filled('unison', { values, durationS: 4.5, seed: 3, targetHz: 110, stiffness: 1e-3 }), 8000)
    const wanted = 550 * Math.sqrt(1.025 / 1.001)
    expect(Math.abs(cents(toneHz(samples, 8000, wanted, 3), wanted))).toBeLessThan(toleranceCents)
    expect(Math.abs(cents(wanted, 550) - 20.6)).toBeLessThan(0.1)
  })
  it('is plucked again as often as it says', () => {
    const at = strokes(filled('unison', { values: { strokeS: 1.5 }, durationS: 12, targetHz: 110 }), 8000)
    expect(at).toHaveLength(8)
    // Blocks of 10 ms.
    for (let i = 1; i < at.length; i++)
      expect(Math.abs((at[i] as number) - (at[i - 1] as number) - 1.5)).toBeLessThan(0.011)
  })
  it('sounds at the fifth string of a guitar where nobody names a note', () => {
    const values = { nearCents: 0, farCents: 0, ...clear }
    const samples = ring(filled('unison', { values, durationS: 4.5, seed: 3 }), 8000)
    expect(Math.abs(cents(toneHz(samples, 8000, 110, 4), 110))).toBeLessThan(toleranceCents)
  })
})

describe('the keyboard chord', () => {
  const values = { offsetCents: 0, strokeS: 4, decayS: 30 }
  it.each([82.41, 196, 329.63])(
    'has the note in hand in it, %d Hz, as root, third or fifth of a major triad',
    (targetHz) => {
      const degrees = new Set<number>()
      for (let seed = 1; seed <= 12; seed++) {
        const { density, binHz } = spectrum(filled('chord', { values, durationS: 4, seed, targetHz }), 8000, 16384)
        const near = (hz: number): number =>
          Math.max(...[-1, 0, 1].map((i) => density[Math.round(hz / binHz) + i] as number))
        const floor = density.reduce((sum, value) => sum + value, 0) / density.length
        expect(near(targetHz)).toBeGreaterThan(floor)
        const fits = [0, 4, 7].filter((degree) =>
          [-12, 0, 4, 7].every((semitone) => near(targetHz * 2 ** ((semitone - degree) / 12)) > floor),
        )
        expect(fits.length).toBeGreaterThan(0)
        for (const degree of fits) degrees.add(degree)
      }
      expect([...degrees].sort((a, b) => a - b)).toEqual([0, 4, 7])
    },
  )
  it('is off as a whole by up to what it says, either way', () => {
    const offs = Array.from({ length: 16 }, (_, seed) => {
      const given = { offsetCents: 5, strokeS: 3, decayS: 4 }
      const samples = ring(filled('chord', { values: given, durationS: 4.5, seed, targetHz: 220 }), 8000)
      // The lowest note, an octave under the root, sounds alone; only one of three places has it.
      const shape = spectrum(samples, 8000)
      const lowest = [12, 16, 19]
        .map((semitones) => 220 / 2 ** (semitones / 12))
        .reduce((top, hz) => (densityAt(shape, hz) > densityAt(shape, top) ? hz : top))
      return cents(toneHz(samples, 8000, lowest, 2), lowest)
    })
    // The next tone up is an octave away, 88 bins or more: side lobes under -110 dB.
    for (const off of offs) expect(Math.abs(off)).toBeLessThan(5.05)
    expect(Math.max(...offs) - Math.min(...offs)).toBeGreaterThan(5)
    expect(Math.max(...offs)).toBeGreaterThan(0)
    expect(Math.min(...offs)).toBeLessThan(0)
  })
  it('is struck anew as often as it says, and rings on between', () => {
    const samples = filled('chord', { values: { strokeS: 2, decayS: 6 }, durationS: 20, targetHz: 220 })
    const power = (fromS: number): number =>
      samples.subarray(8000 * fromS, 8000 * (fromS + 0.5)).reduce((sum, value) => sum + value * value, 0)
    const levels = Array.from({ length: 39 }, (_, i) => db(power(i / 2)))
    // T60 6 s: 10 dB a second, 15 dB between the loudest and the faintest half second of a stroke, 3 dB for beats.
    expect(Math.max(...levels) - Math.min(...levels)).toBeLessThan(20)
    // Half a second is loudest once every 2 s.
    const peaks = levels.filter(
      (level, i) => i > 0 && i < 38 && level > (levels[i - 1] as number) && level >= (levels[i + 1] as number),
    )
    expect(peaks.length).toBeGreaterThanOrEqual(8)
    expect(peaks.length).toBeLessThanOrEqual(11)
  })
})

describe('count-in clicks', () => {
  it.each([60, 120, 200])('come %d times a minute, the first of four higher', (tempoPerMin) => {
    const samples = filled('clicks', { values: { tempoPerMin }, durationS: 12, seed: 4 })
    const at = strokes(samples, 8000).filter((time, i, all) => i === 0 || time - (all[i - 1] as number) > 0.05)
    expect(Math.abs(at.length - (12 * tempoPerMin) / 60)).toBeLessThanOrEqual(1)
    for (let i = 1; i < at.length; i++) {
      expect(Math.abs((at[i] as number) - (at[i - 1] as number) - 60 / tempoPerMin)).toBeLessThan(0.021)
    }
    const pitches = at.slice(1, -1).map((time) => {
      const piece = samples.slice(8000 * time, 8000 * (time + 0.03))
      const power = (hz: number): number => {
        let re = 0
        let im = 0
        for (let n = 0; n < piece.length; n++) {
          re += (piece[n] as number) * Math.cos((2 * Math.PI * hz * n) / 8000)
          im += (piece[n] as number) * Math.sin((2 * Math.PI * hz * n) / 8000)
        }
        return re * re + im * im
      }
      return power(1500 * 2 ** (5 / 12)) > power(1500)
    })
    const high = pitches.flatMap((is, i) => (is ? [i] : []))
    expect(high.length).toBeGreaterThan(1)
    for (let i = 1; i < high.length; i++) expect((high[i] as number) - (high[i - 1] as number)).toBe(4)
  })
})

describe('whistles', () => {
  it('stay in their range and are nearly pure', () => {
    const shape = spectrum(filled('whistles', { rateHz: 16000, durationS: 30 }), 16000)
    const power = (from: number, to: number): number =>
      shape.density.reduce(
        (sum, value, bin) => sum + (bin * shape.binHz >= from && bin * shape.binHz < to ? value : 0),
        0,
      )
    // Breath is 30 dB under one steady tone, spread over 8 kHz; edges of 40 ms put little more than 1 / 0.04 s = 25 Hz aside.
    expect(db(power(950, 3300) / power(0, 8001))).toBeGreaterThan(-0.1)
    // Every third of the range (on a logarithmic scale) is visited.
    for (const third of [0, 1, 2]) {
      const from = 1000 * 3.2 ** (third / 3)
      expect(power(from, from * 3.2 ** (1 / 3)) / power(0, 8001)).toBeGreaterThan(0.1)
    }
  })
})

describe('buzz', () => {
  it.each([50, 60])('stands at multiples of %d Hz, the even ones 6 dB up, and peaks once a half cycle', (mainsHz) => {
    const samples = filled('buzz', { values: { mainsHz, harmonics: 20, slopeDb: 0 }, rateHz: 8000, durationS: 20 })
    const shape = spectrum(samples, 8000, 65536)
    const line = (hz: number): number => {
      let sum = 0
      for (let bin = Math.round((hz - 1) / shape.binHz); bin <= Math.round((hz + 1) / shape.binHz); bin++) {
        sum += shape.density[bin] as number
      }
      return sum
    }
    for (let k = 2; k <= 20; k++) {
      // 2 Hz hold 16 bins of the main lobe's four wherever the line lies.
      expect(db(line(k * mainsHz) / line(mainsHz))).toBeCloseTo(k % 2 === 0 ? 6 : 0, 2)
    }
    expect(db(line(21 * mainsHz) / line(mainsHz))).toBeLessThan(-90)
    // Crest factor: all at their peak at once, 10 + 10 * 2 over the root of half the sum of squares.
    const rms = Math.sqrt(samples.reduce((sum, value) => sum + value * value, 0) / samples.length)
    const even = 10 ** (6 / 20)
    const wanted = (10 + 10 * even) / Math.sqrt((10 + 10 * even * even) / 2)
    const highest = samples.reduce((most, value) => Math.max(most, Math.abs(value)), 0)
    // Samples fall beside the peak: 8 a period of the highest harmonic at 50 Hz, cos(pi / 8) of it at worst.
    expect(highest / rms).toBeGreaterThan(0.9 * wanted)
    expect(highest / rms).toBeLessThan(1.0001 * wanted)
  })
})

describe('rumble, handling, crowd and the wood', () => {
  const bandDb = (shape: Spectrum, from: number, to: number): number =>
    db(
      shape.density.reduce((sum, value, bin) => {
        const hz = bin * shape.binHz
        return sum + (hz >= from && hz < to ? value : 0)
      }, 0) * shape.binHz,
    )
  it('rumble keeps under 250 Hz', () => {
    const shape = spectrum(filled('rumble', { rateHz: 48000, durationS: 20 }), 48000, 32768)
    // Own formula, x = f / 80: above 3.1 corners the tail of 1 / (1 + x^4) holds 1 / (3 * 3.1^3) of 1.11: -20 dB.
    expect(bandDb(shape, 250, 24000) - bandDb(shape, 0, 250)).toBeLessThan(-17)
    // An octave at 160-320 Hz against 320-640 Hz: density falls by 12 dB, the band doubles.
    expect(Math.abs(bandDb(shape, 160, 320) - bandDb(shape, 320, 640) - 9)).toBeLessThan(1.5)
  })
  it('handling is mostly under 400 Hz and knocks as often as it says', () => {
    const samples = filled('handling', { durationS: 30, values: { knocksPerS: 2 } })
    const shape = spectrum(samples, 8000)
    expect(bandDb(shape, 400, 4000) - bandDb(shape, 0, 400)).toBeLessThan(-8)
    const loud = (knocksPerS: number): number => {
      const rub = filled('handling', { durationS: 30, values: { knocksPerS } })
      return db(rub.reduce((most, value) => Math.max(most, Math.abs(value)), 0) ** 2)
    }
    expect(loud(2) - loud(0)).toBeGreaterThan(3)
  })
  it('a crowd is nearly pink between 150 Hz and 4 kHz', () => {
    const shape = spectrum(filled('crowd', { rateHz: 48000, durationS: 60, values: { swellsPerS: 4 } }), 48000)
    // Its formula against 1 / f: half power at both corners, within 0.3 dB from twice the lower to half the upper one.
    const octaves = [300, 600, 1200].map((from) => bandDb(shape, from, 2 * from))
    // B T = 300 * 60: 0.03 dB; the upper octave ends at 0.6 of the corner and loses 0.4 dB.
    expect(Math.max(...octaves) - Math.min(...octaves)).toBeLessThan(0.8)
    expect(bandDb(shape, 300, 600) - bandDb(shape, 30, 60)).toBeGreaterThan(20)
    expect(bandDb(shape, 300, 600) - bandDb(shape, 12000, 24000)).toBeGreaterThan(15)
  })
  it('wood lets its modes stand out', () => {
    const shape = spectrum(filled('shaken', { rateHz: 8000, durationS: 60, values: { modesDb: 15 } }), 8000)
    const flat = spectrum(filled('shaken', { rateHz: 8000, durationS: 60, values: { modesDb: 0 } }), 8000)
    for (const hz of [100, 200, 390]) {
      // Bins of 1 Hz against half-power widths of 4 Hz and more; 120 segments leave 0.6 dB, the mode's flanks take 0.5.
      const up = db(densityAt(shape, hz) / densityAt(flat, hz))
      expect(Math.abs(up - 15)).toBeLessThan(2)
    }
    expect(Math.abs(db(densityAt(shape, 1500) / densityAt(flat, 1500)))).toBeLessThan(0.5)
  })
})

describe('a bass line', () => {
  it('keeps most of itself under 250 Hz, on the notes above its root', () => {
    const shape = spectrum(filled('bassline', { durationS: 60 }), 8000, 16384)
    const below = shape.density.reduce((sum, value, bin) => sum + (bin * shape.binHz < 250 ? value : 0), 0)
    const all = shape.density.reduce((sum, value) => sum + value, 0)
    expect(below / all).toBeGreaterThan(0.9)
    const line = (hz: number): number => densityAt(shape, hz)
    // Root and fifth against the tritone between them, which it never plays.
    // (A stroke's own width, 3.4 / s, leaves (3.4 / 2 pi 3.3)^2 = -16 dB of its neighbours there.)
    expect(line(41.203)).toBeGreaterThan(5 * line(41.203 * 2 ** (6 / 12)))
    expect(line(41.203 * 2 ** (7 / 12))).toBeGreaterThan(5 * line(41.203 * 2 ** (6 / 12)))
  })
})

describe('the profile of a recording', () => {
  const rateHz = 8000
  const white = new Float64Array(8 * rateHz)
  randomStream(8, 'profile').fillGaussian(white)
  // A known colour: y[n] = 0.9 y[n-1] + x[n], density 1 / (1.81 - 1.8 cos w).
  const samples = new Float32Array(white.length)
  for (let i = 0; i < samples.length; i++) samples[i] = 0.9 * (samples[i - 1] ?? 0) + (white[i] as number)
  const recording: Recording = { id: 'hall', sampleRateHz: rateHz, samples, onsetS: Number.NaN, f1Hz: Number.NaN }

  it('has its spectrum and none of its samples', () => {
    const made = filled('profile', { rateHz, durationS: 60, recording })
    const shape = spectrum(made, rateHz, 1024)
    const reference = (hz: number): number => 1 / (1.81 - 1.8 * Math.cos((2 * Math.PI * hz) / rateHz))
    const band = (from: number, of: (hz: number) => number): number => {
      let sum = 0
      for (let hz = from; hz < from + 200; hz += shape.binHz) sum += of(hz)
      return sum
    }
    const shares = [100, 500, 1000, 2000, 3000, 3700].map((from) =>
      db(band(from, (hz) => densityAt(shape, hz)) / band(from, reference)),
    )
    // The recording's own chance decides: 8 s of a band 200 Hz wide are known to 4.34 / sqrt(1600) = 0.11 dB; four of them,
    // for the difference of two bands.
    expect(Math.max(...shares) - Math.min(...shares)).toBeLessThan(0.6)
    let product = 0
    let own = 0
    let theirs = 0
    for (let i = 0; i < samples.length; i++) {
      product += (made[i] as number) * (samples[i] as number)
      own += (made[i] as number) ** 2
      theirs += (samples[i] as number) ** 2
    }
    // 64 000 samples, of which one in 19 is new ((1 + 0.81) / (1 - 0.81) = 9.5 each way): sd 0.012.
    expect(Math.abs(product) / Math.sqrt(own * theirs)).toBeLessThan(0.06)
  })
})
