/** Steady tones of a room: found where they were put, named, and not found where none was put. */
import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/maths/random.ts'
import { lineFamilies } from '../../src/core/room/linefamilies.ts'
import { nearestPartial } from '../../src/core/room/roomstring.ts'
import { steadyLines } from '../../src/core/room/steadylines.ts'
import { guitar, roomNoise, roomStrings } from './roomtakes.ts'

const rateHz = 16000
const strings = roomStrings(guitar)

/** White noise of a density of 1e-8 / Hz. */
function bed(seconds: number, seed: number): Float32Array {
  const random = randomStream(seed, 'bed')
  const sigma = Math.sqrt((1e-8 * rateHz) / 2)
  return Float32Array.from({ length: seconds * rateHz }, () => sigma * random.gaussian())
}

function add(samples: Float32Array, hz: number, overFloorDb: number, phase: number, when = (_: number) => 1): void {
  const amplitude = Math.sqrt(2 * 1e-8 * 10 ** (overFloorDb / 10))
  for (let i = 0; i < samples.length; i++) {
    samples[i] = (samples[i] ?? 0) + when(i / rateHz) * amplitude * Math.sin((2 * Math.PI * hz * i) / rateHz + phase)
  }
}

describe('steady lines', () => {
  it('give frequency, level and height over the floor of tones in 5 s', () => {
    for (let n = 0; n < 12; n++) {
      const random = randomStream(77, 'tone', n)
      const hz = 60 + 2000 * random.uniform()
      const samples = bed(5, n)
      add(samples, hz, 20, 6 * random.uniform())
      const lines = steadyLines(samples, rateHz, strings)
      expect(lines).toHaveLength(1)
      const [line] = lines
      // The bound, sqrt(6 / (100 T^3)) / (2 pi), is 3.5 mHz (Rife & Boorstyn 1974, IEEE Trans. Inf. Theory 20:591-598).
      expect(Math.abs((line?.hz ?? 0) - hz)).toBeLessThan(4 * 0.0035)
      // The amplitude's, sqrt(1 / (2 * 100 T)), is 3.2 % or 0.27 dB; four of it.
      expect(Math.abs((line?.levelDbfs ?? 0) - -60)).toBeLessThan(1.1)
      // The floor's median adds 12 %: 0.6 dB together.
      expect(Math.abs((line?.overFloorDb ?? 0) - 20)).toBeLessThan(2.4)
    }
  })

  it('name the mains by its harmonics, 50 and 60 Hz apart, and a mains that runs 0.2 Hz slow', () => {
    for (const [nominalHz, baseHz] of [
      [50, 50],
      [60, 60],
      [50, 49.8],
    ] as const) {
      const samples = bed(5, 31)
      for (const harmonic of [1, 2, 3, 5, 6]) add(samples, harmonic * baseHz, 30, harmonic)
      const lines = steadyLines(samples, rateHz, strings)
      expect(lines).toHaveLength(5)
      for (const { hz, family } of lines) {
        expect(family).toMatchObject({ kind: 'mains', nominalHz, harmonic: Math.round(hz / baseHz) })
        if (family.kind === 'mains') expect(Math.abs(family.baseHz - baseHz)).toBeLessThan(0.01)
      }
    }
  })

  it('decline a tone that stops, one that comes back each bar, and one that wanders', () => {
    const stopping = bed(5, 41)
    add(stopping, 440, 30, 1, (s) => (s < 3.5 ? 1 : 0))
    expect(steadyLines(stopping, rateHz, strings)).toEqual([])
    const barred = bed(5, 42)
    add(barred, 440, 30, 1, (s) => (s % 1 < 0.5 ? 1 : 0))
    expect(steadyLines(barred, rateHz, strings)).toEqual([])
    const wandering = bed(5, 43)
    for (let i = 0; i < wandering.length; i++) {
      const s = i / rateHz
      wandering[i] = (wandering[i] ?? 0) + 0.005 * Math.sin(2 * Math.PI * (440 * s + 2 * Math.sin(3 * s)))
    }
    expect(steadyLines(wandering, rateHz, strings)).toEqual([])
  })

  it('keep a hum whose mains wanders by 0.03 Hz', () => {
    const samples = bed(5, 44)
    for (let i = 0; i < samples.length; i++) {
      const s = i / rateHz
      samples[i] = (samples[i] ?? 0) + 0.005 * Math.sin(2 * Math.PI * (100 * s + (0.03 / 1.2) * Math.sin(1.2 * s)))
    }
    expect(steadyLines(samples, rateHz, strings)).toHaveLength(1)
  })

  it('find none in rooms that have none', () => {
    let takes = 0
    for (const room of ['white', 'pink', 'encore', 'stage']) {
      for (let n = 0; n < 6; n++) {
        const noise = Float32Array.from(roomNoise(room, 5, rateHz, 811, n), (value) => 0.01 * value)
        if (steadyLines(noise, rateHz, strings).length > 0) takes++
      }
    }
    // Rates of 1 %: two takes or more of 24 come by chance once in 40; room.md of tests/bench has 300 of each.
    expect(takes).toBeLessThan(2)
  })

  it('say nothing of less than a second, and of silence', () => {
    expect(steadyLines(new Float32Array(5 * rateHz), rateHz, strings)).toEqual([])
    expect(steadyLines(bed(5, 1).subarray(0, rateHz / 2), rateHz, strings)).toEqual([])
  })
})

describe('nearest partial', () => {
  it('is worked out by hand', () => {
    // 1200 log2(100 / 82.407) = 335 c over E2's first; 1200 log2(100 / 110) = -165 c under A2's.
    expect(nearestPartial(100, strings)).toMatchObject({ string: 'A2', k: 1 })
    expect(nearestPartial(100, strings)?.cents).toBeCloseTo(-165.004, 2)
    expect(nearestPartial(100, [])).toBeNull()
    // Partial 3 of a stiff string: 1200 log2(3) + 600 log2((1 + 9 B) / (1 + B)) above its first.
    const stiff = { id: 'x', title: 'x', targetHz: 100, stiffness: 1e-3 }
    expect(nearestPartial(300, [stiff])?.cents).toBeCloseTo(-600 * Math.log2(1.009 / 1.001), 9)
  })
})

describe('families of lines', () => {
  it('tell a machine apart from the mains beside it', () => {
    const families = lineFamilies([50, 100, 150, 73.4, 146.8, 220.2, 331.7])
    expect(families.map(({ kind }) => kind)).toEqual(['mains', 'mains', 'mains', 'series', 'series', 'series', 'alone'])
    expect(families[4]).toMatchObject({ harmonic: 2 })
  })

  it('call a lone tone mains only where a network keeps its first harmonics', () => {
    expect(lineFamilies([100.05])[0]).toMatchObject({ kind: 'mains', nominalHz: 50, harmonic: 2 })
    expect(lineFamilies([119.9])[0]).toMatchObject({ kind: 'mains', nominalHz: 60, harmonic: 2 })
    expect(lineFamilies([100.6])[0]).toEqual({ kind: 'alone' })
    expect(lineFamilies([350])[0]).toEqual({ kind: 'alone' })
    expect(lineFamilies([])).toEqual([])
  })
})
