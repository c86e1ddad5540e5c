/** The steady-tone test: each kind of hidden processing told as what it is, a plain tone in noise told as plain. */
import { describe, expect, it } from 'vitest'
import { studentQuantile } from '../../src/core/room/meaninterval.ts'
import { type SteadyToneFigures, steadyTone } from '../../src/core/room/steadytone.ts'
import { roomS, type ToneWish, toneInRoom } from './inputtones.ts'

const rateHz = 8000
const db = (decibels: number): number => 10 ** (decibels / 20)

function told(wish: ToneWish, sourceGoesOn = false): SteadyToneFigures {
  const figures = steadyTone(toneInRoom(wish), rateHz, null, sourceGoesOn)
  if (figures === null) throw new Error('no tone was found')
  return figures
}

describe('the steady-tone test', () => {
  it('tells level, frequency and time of a plain tone, and that nothing was done to it', () => {
    const figures = told({ seed: 1, hz: 523.37, amplitude: 0.1 })
    expect(figures.verdict).toBe('plain')
    // Noise of 0.01 over 4 kHz is 0.01^2 / 4000 a Hz; a Hann frame of 0.25 s passes 6 Hz of it, the tone has 0.1^2 / 2.
    expect(Math.abs(figures.overRoomDb - 10 * Math.log10(0.005 / ((1e-4 / 4000) * 6)))).toBeLessThan(1)
    expect(Math.abs(figures.levelDbfs - -20)).toBeLessThan(0.1)
    expect(Math.abs(figures.hz - 523.37)).toBeLessThan(0.01)
    // Two frames are left off at either end, and a frame is 0.25 s.
    expect(Math.abs(figures.fromS - roomS)).toBeLessThan(0.5)
    expect(figures.ended).toBe(false)
    expect(figures.floorStepDb?.standing).toBe('within')
    expect(Math.abs(figures.floorDriftDb)).toBeLessThan(0.5)
  })

  it('takes a tone that a noise suppressor fades for faded, by so many decibels', () => {
    // 15 dB within a few seconds, as suppressors that hold a steady tone for noise do.
    const gain = (atS: number) => db(-15 * (1 - Math.exp(-Math.max(0, atS - roomS) / 1.5)))
    const figures = told({ seed: 2, gain })
    expect(figures.verdict).toBe('altered')
    expect(figures.changeDb.standing).toBe('beyond')
    // The mean of its first half second after 0.375 s, and of the last three.
    expect(figures.changeDb.value).toBeGreaterThan(-12.5)
    expect(figures.changeDb.value).toBeLessThan(-9.5)
    expect(figures.floorDriftDb).toBeLessThan(-4)
  })

  it('takes a ramp of automatic gain for a rise, and the room for risen with it', () => {
    const gain = (atS: number) => db(Math.min(9, Math.max(0, (atS - roomS) * 0.9)))
    const figures = told({ seed: 3, amplitude: 0.03, noiseRms: 0.003, gain })
    expect(figures.verdict).toBe('altered')
    expect(figures.changeDb.low).toBeGreaterThan(1)
    expect(figures.floorDriftDb).toBeGreaterThan(4)
  })

  it('sees automatic gain that makes way for the tone by the room that sinks under it', () => {
    const gain = (atS: number) => (atS < roomS ? 1 : db(-10))
    const { floorStepDb, verdict, changeDb } = told({ seed: 4, gain })
    expect(verdict).toBe('altered')
    expect(changeDb.standing).toBe('within')
    expect(floorStepDb?.standing).toBe('beyond')
    expect(Math.abs((floorStepDb?.value ?? 0) - -10)).toBeLessThan(0.5)
  })

  it('sees a gate by the pause it had closed, down to digital silence', () => {
    for (const closed of [0, db(-20)]) {
      const { floorStepDb, verdict } = told({ seed: 5, gain: (atS) => (atS < roomS ? closed : 1) })
      expect(verdict).toBe('altered')
      expect(floorStepDb?.low).toBeGreaterThan(15)
    }
  })

  it('counts the gaps of a gate that closes on the tone itself', () => {
    const gaps = [6, 9.5, 13] as const
    const gain = (atS: number) => (gaps.some((gapS) => atS > gapS && atS < gapS + 0.5) ? db(-30) : 1)
    const figures = told({ seed: 6, gain })
    expect(figures.gaps.standing).toBe('beyond')
    expect(figures.gaps.count).toBe(3)
    // Half a second each, a frame more or less at every edge.
    expect(figures.gaps.totalS).toBeGreaterThan(0.75)
    expect(figures.gaps.totalS).toBeLessThan(2.25)
  })

  it('tells gain pumped to and fro as a wander of so much', () => {
    // A sine of 3 dB either way has an rms of 2.1 dB; frames of a quarter second smooth a cycle of 2 s by little.
    const figures = told({ seed: 7, gain: (atS) => db(3 * Math.sin(Math.PI * atS)) })
    expect(figures.verdict).toBe('altered')
    expect(figures.wanderDb.standing).toBe('beyond')
    expect(Math.abs(figures.wanderDb.value - 3 / Math.SQRT2)).toBeLessThan(0.3)
  })

  it('knows a tone that was lost from one that went on, and blames the input only where the page itself played it', () => {
    const wish = { seed: 8, endsS: 15 }
    const other = told(wish)
    expect(other.ended).toBe(true)
    expect(Math.abs(other.toS - 15)).toBeLessThan(0.5)
    expect(other.verdict).toBe('plain')
    expect(told(wish, true).verdict).toBe('altered')
    // Five seconds are not enough to call it plain.
    expect(told({ seed: 8, endsS: 8 }).verdict).toBe('untold')
  })

  it('says that it cannot tell, where the room is nearly as loud as the tone', () => {
    const { verdict, gaps } = told({ seed: 9, noiseRms: 0.3 })
    expect(verdict).toBe('untold')
    expect(gaps.standing).toBe('open')
  })

  it('finds no tone in a room alone, and refuses what it cannot use', () => {
    let found = 0
    for (let n = 0; n < 40; n++)
      if (steadyTone(toneInRoom({ seed: n, amplitude: 0 }), rateHz, null, false) !== null) found++
    expect(found).toBe(0)
    expect(() => steadyTone(new Float32Array(8000), rateHz, null, false)).toThrow('1.00 s is below 2 s')
    expect(() => steadyTone(new Float32Array(24_000), rateHz, 50, false)).toThrow('50 is not between 150 and 3200 Hz')
    expect(steadyTone(new Float32Array(24_000), rateHz, null, false)).toBeNull()
    const broken = new Float32Array(24_000).fill(Number.NaN)
    expect(steadyTone(broken, rateHz, null, false)).toBeNull()
  })

  it('accuses no plain tone in noise, from 40 dB over the room down to where it can still tell', () => {
    // 0 of 40 holds the rate under 9 % (Wilson); tests/bench/room.md has it of many more.
    let altered = 0
    for (let n = 0; n < 40; n++) {
      const noiseRms = 0.1 * db(-40 + 8 * (n % 5))
      if (told({ seed: 1000 + n, hz: 200 + 13 * n, noiseRms }).verdict === 'altered') altered++
    }
    expect(altered).toBe(0)
  })

  it('has Student’s quantiles as printed', () => {
    // Tables of Student's t, two-sided 95 % (any handbook; here from memory).
    for (const [freedom, printed] of [
      [3, 3.182],
      [4, 2.776],
      [5, 2.571],
      [10, 2.228],
      [30, 2.042],
    ] as const) {
      expect(Math.abs(studentQuantile(freedom) / printed - 1)).toBeLessThan(0.01)
    }
  })
})
