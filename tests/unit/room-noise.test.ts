/** Figures of a noise take, on noises whose levels are known by arithmetic. */
import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/maths/random.ts'
import { densityAt } from '../../src/core/maths/spectrum.ts'
import { Problem } from '../../src/core/problem.ts'
import { noiseFigures } from '../../src/core/room/noisetake.ts'
import { roomNoise } from './roomtakes.ts'

const rateHz = 16000

function white(seconds: number, seed: number, rms = 0.1): Float32Array {
  const random = randomStream(seed, 'white')
  return Float32Array.from({ length: seconds * rateHz }, () => rms * random.gaussian())
}

const sine = (hz: number, seconds: number, amplitude: number, rate = rateHz): Float32Array =>
  Float32Array.from({ length: seconds * rate }, (_, i) => amplitude * Math.sin((2 * Math.PI * hz * i) / rate))

describe('noise figures', () => {
  it('give a full-scale sine -3.01 dB and 0 dB peak, and leave an offset out of all but the peak', () => {
    const samples = sine(1000, 2, 1)
    const plain = noiseFigures(samples, rateHz, [])
    expect(plain.levelDbfs).toBeCloseTo(-3.0103, 3)
    expect(plain.peakDbfs).toBeCloseTo(0, 2)
    const moved = noiseFigures(
      samples.map((sample) => 0.25 * sample + 0.5),
      rateHz,
      [],
    )
    expect(moved.levelDbfs).toBeCloseTo(-3.0103 - 12.0412, 3)
    expect(moved.peakDbfs).toBeCloseTo(20 * Math.log10(0.75), 2)
  })

  it('put a tone into its own third octave and next to nothing into the next but one', () => {
    const { thirdOctaves } = noiseFigures(sine(1000, 2, 0.1), rateHz, [])
    const levelOf = (hz: number): number => thirdOctaves.find(({ nominalHz }) => nominalHz === hz)?.levelDbfs ?? 0
    expect(levelOf(1000)).toBeCloseTo(-23.0103, 2)
    // A Hann window's skirts 340 bins off: beyond 120 dB.
    expect(levelOf(1600)).toBeLessThan(-130)
    expect(levelOf(630)).toBeLessThan(-130)
  })

  it('give white noise its density in both spectra, and third octaves as wide as they are', () => {
    const { spectrum, fineSpectrum, thirdOctaves, segments } = noiseFigures(white(10, 3), rateHz, [])
    expect(segments).toBe(19)
    const density = 0.01 / (rateHz / 2)
    const meanOf = (values: Float64Array): number => values.reduce((sum, value) => sum + value, 0) / values.length
    // 160 000 samples: their power is known to 0.35 %.
    expect(Math.abs(meanOf(spectrum.density) / density - 1)).toBeLessThan(0.02)
    expect(Math.abs(meanOf(fineSpectrum.density) / density - 1)).toBeLessThan(0.02)
    expect(densityAt(spectrum, 1000) / density).toBeGreaterThan(0.3)
    for (const { lowHz, highHz, levelDbfs } of thirdOctaves.filter(({ nominalHz }) => nominalHz >= 500)) {
      // From 500 Hz up a band holds 1100 degrees of freedom and more: 0.19 dB, and four of it.
      expect(Math.abs(levelDbfs - 10 * Math.log10(density * (highHz - lowHz)))).toBeLessThan(0.76)
    }
  })

  it('give intervals that hold the truth as often as they say, in Gaussian noise', () => {
    let [held, all] = [0, 0]
    const density = 0.01 / (rateHz / 2)
    for (let seed = 0; seed < 25; seed++) {
      for (const { lowHz, highHz, lowDbfs, highDbfs } of noiseFigures(white(3, 100 + seed), rateHz, []).thirdOctaves) {
        const truth = 10 * Math.log10(density * (highHz - lowHz))
        all++
        if (truth >= lowDbfs && truth <= highDbfs) held++
      }
    }
    // 600 intervals of 95 % that never overstate their freedom: four deviations (0.9 %) under it would be 91.4 %.
    expect(held / all).toBeGreaterThan(0.914)
  })

  it('give wider intervals where the level swings', () => {
    const steady = noiseFigures(white(5, 9), rateHz, [])
    const swinging = noiseFigures(
      white(5, 9).map((sample, i) => sample * (i / rateHz > 2 && i / rateHz < 3 ? 4 : 1)),
      rateHz,
      [],
    )
    const widthOf = ({ thirdOctaves }: typeof steady): number =>
      (thirdOctaves.at(-1)?.highDbfs ?? 0) - (thirdOctaves.at(-1)?.lowDbfs ?? 0)
    expect(widthOf(swinging)).toBeGreaterThan(5 * widthOf(steady))
    expect(Math.max(...swinging.tenthPowers) / Math.min(...swinging.tenthPowers)).toBeGreaterThan(8)
  })

  it('work from 8 to 192 kHz, and refuse what is beyond or too short, naming it', () => {
    for (const rate of [8000, 44100, 192000]) {
      const noise = Float32Array.from(roomNoise('white', 2, rate, 5), (value) => 0.1 * value)
      expect(noiseFigures(noise, rate, []).levelDbfs).toBeCloseTo(-20, 1)
    }
    expect(() => noiseFigures(white(2, 1), 7999, [])).toThrow(Problem)
    expect(() => noiseFigures(white(1, 1), rateHz, [])).toThrow('1.00 s is below 1.6 s')
  })

  it('stay finite or -Infinity for silence', () => {
    const silent = noiseFigures(new Float32Array(2 * rateHz), rateHz, [])
    expect(silent.levelDbfs).toBe(Number.NEGATIVE_INFINITY)
    expect(silent.lines).toEqual([])
    expect(silent.thirdOctaves.every(({ levelDbfs }) => levelDbfs === Number.NEGATIVE_INFINITY)).toBe(true)
  })
})
