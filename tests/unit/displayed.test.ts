/** What a display does to known readings, worked by hand: 1000 samples a second, so that a sample is a millisecond. */
import { describe, expect, it } from 'vitest'
import { fill } from '../../src/core/fields.ts'
import { displayed, displayFields } from '../../src/core/methods/displayed.ts'
import { methodById } from '../../src/core/methods/index.ts'
import { listen } from '../../src/core/methods/listen.ts'
import type { Method, Reading, Stream } from '../../src/core/methods/method.ts'
import { Problem } from '../../src/core/problem.ts'
import { firstHold } from '../../src/core/score/claim.ts'

const stream: Stream = { sampleRateHz: 1000, lowestHz: 30, highestHz: 400, targetHz: null, room: null }

/** At 100 Hz plus so many cents. */
const cents = (c: number): number => 100 * 2 ** (c / 1200)
const inCents = ({ f0Hz }: Reading): number => 1200 * Math.log2(f0Hz / 100)

/** Answers `script` one after the other, one every `hop` samples, each from the last 20 samples. */
const scripted = (script: readonly number[], hop: number): Method => ({
  id: 'scripted',
  title: 'Scripted',
  source: 'own',
  family: 'blind',
  fields: { hop: { default: hop, min: 1, max: 1000, unit: 'samples', help: 'Step.' } },
  open(_stream, values) {
    let heard = 0
    return {
      push(samples, emit) {
        for (let i = 0; i < samples.length; i++) {
          heard++
          if (heard % (values.hop ?? hop) !== 0) continue
          const f0Hz = script[heard / (values.hop ?? hop) - 1] ?? Number.NaN
          const fromSample = Math.max(0, heard - 20)
          emit({ fromSample, toSample: heard, atSample: heard - 10, f0Hz, confidence: 0.5, spreadCents: 2 })
        }
      },
    }
  },
})

const loud = (n: number): Float32Array => new Float32Array(n).fill(0.5)

const shown = (
  script: readonly number[],
  settings: Readonly<Record<string, number>>,
  samples = loud(400),
  given: Partial<Stream> = {},
  hop = 25,
): Reading[] => listen(displayed(scripted(script, hop), settings), samples, { ...stream, ...given })

describe('updates', () => {
  it('come at whole multiples of their period, rounded to samples', () => {
    // 1000 / 30 = 33.33 samples.
    const times = shown([], { updateHz: 30 }, loud(201)).map(({ toSample }) => toSample)
    expect(times).toEqual([33, 67, 100, 133, 167, 200])
    expect(shown([], { updateHz: 8 }, loud(400)).map(({ toSample }) => toSample)).toEqual([125, 250, 375])
  })

  it('do not drift in an hour: the last of 30 a second is on the second', () => {
    const method = displayed(scripted([], 1000), { updateHz: 7 })
    const ear = method.open(stream, fill(method.fields, {}))
    let last = 0
    let count = 0
    const second = loud(1000)
    for (let i = 0; i < 3600; i++) {
      ear.push(second, ({ toSample }) => {
        last = toSample
        count++
      })
    }
    expect([count, last]).toEqual([7 * 3600, 3_600_000])
  })
})

describe('averaging', () => {
  it('is the mean in cents of the readings that ended in the averaging time', () => {
    // Readings at 25, 50, 75 ... 200 say 0, 10, 20 ... 70 c; updates at 100 and 200 see those after 0 and after 100.
    const script = [0, 10, 20, 30, 40, 50, 60, 70].map(cents)
    const readings = shown(script, { averagingMs: 100, updateHz: 10 }, loud(200))
    expect(readings.map((reading) => Math.round(1e6 * inCents(reading)) / 1e6)).toEqual([15, 55])
  })

  it('tells the evidence from the oldest averaged reading to the update, and speaks of their mean instant', () => {
    const readings = shown([0, 10, 20, 30, 40, 50].map(cents), { averagingMs: 50, updateHz: 10 }, loud(200))
    // At 100: readings at 75 (from 55) and 100; at 200: nothing was answered after 150, readings from 175 on decline.
    expect(readings[0]).toMatchObject({
      fromSample: 55,
      toSample: 100,
      atSample: 77.5,
      confidence: 0.5,
      spreadCents: 2,
    })
    expect(readings[1]).toMatchObject({ fromSample: 150, toSample: 200, atSample: 175, confidence: 0 })
    expect(readings[1]?.f0Hz).toBeNaN()
    expect(readings[1]?.spreadCents).toBeNaN()
  })

  it('leaves declined readings out, and bridges gaps shorter than itself', () => {
    const script = [0, Number.NaN, 20, Number.NaN, Number.NaN, Number.NaN].map(cents)
    const readings = shown(script, { averagingMs: 100, updateHz: 20 }, loud(200))
    // Updates at 50, 100, 150, 200: {0}, {0, 20}, {20 at 75}, {}.
    expect(readings.map((reading) => Math.round(1e6 * inCents(reading)) / 1e6)).toEqual([0, 10, 20, Number.NaN])
  })

  it('goes on showing the newest reading of a method that answers more seldom', () => {
    const script = [0, 30, Number.NaN, 40].map(cents)
    const readings = shown(script, { averagingMs: 50, updateHz: 20 }, loud(400), {}, 100)
    // Readings at 100, 200, 300 (declined), 400; updates every 50.
    const seen = readings.map((reading) => Math.round(1e6 * inCents(reading)) / 1e6)
    expect(seen).toEqual([Number.NaN, 0, 0, 30, 30, Number.NaN, Number.NaN, 40])
  })

  it('of equal readings is that reading, to the last bit', () => {
    const readings = shown(Array(16).fill(82.40688922821752), { averagingMs: 200, updateHz: 10 })
    expect(new Set(readings.map(({ f0Hz }) => f0Hz))).toEqual(new Set([82.40688922821752]))
  })

  it('loses no reading when there are more than a ring holds', () => {
    // 800 readings of 0, 1, 2 ... 799 tenths of a cent: their mean is 39.95 c.
    const script = Array.from({ length: 800 }, (_, i) => cents(i / 10))
    const readings = shown(script, { averagingMs: 800, updateHz: 5 }, loud(800), {}, 1)
    expect(inCents(readings.at(-1) as Reading)).toBeCloseTo(39.95, 6)
  })
})

describe('level gate', () => {
  it('shows nothing while the power over the averaging time, silence included, lies below it', () => {
    // 0.1 is -20 dB; half of the time silent -23.01 dB; all silent: none.
    const samples = new Float32Array(400).fill(0.1)
    samples.fill(0, 250)
    const script = Array(16).fill(100)
    const seen = (gateDb: number): boolean[] =>
      shown(script, { averagingMs: 100, updateHz: 10, gateDb }, samples).map(({ f0Hz }) => f0Hz > 0)
    expect(seen(-19.9)).toEqual([false, false, false, false])
    expect(seen(-20.1)).toEqual([true, true, false, false])
    expect(seen(-22.9)).toEqual([true, true, false, false])
    expect(seen(-23.1)).toEqual([true, true, true, false])
  })

  it('counts what is no number as silence', () => {
    const samples = new Float32Array(400).fill(0.1)
    samples.fill(Number.NaN, 0, 50)
    const readings = shown(Array(16).fill(100), { averagingMs: 100, updateHz: 10, gateDb: -21 }, samples)
    expect(readings.map(({ f0Hz }) => f0Hz > 0)).toEqual([false, true, true, true])
  })
})

describe('in-range window', () => {
  const averages = [-3.1, -2.9, 0.5, 2.9, 3.1, 8]
  const settings = { averagingMs: 50, updateHz: 10, inRangeCents: 3 }
  /** Each value for four readings: the two that an update at 100, 200 ... sees agree. */
  const script = averages.flatMap((c) => Array(4).fill(cents(c)))
  const rounded = (readings: readonly Reading[]): number[] =>
    readings.map((reading) => Math.round(1e6 * inCents(reading)) / 1e6)

  it('shows the target inside it, and what is outside as it is', () => {
    const readings = shown(script, settings, loud(600), { targetHz: 100 })
    expect(rounded(readings)).toEqual([-3.1, 0, 0, 0, 3.1, 8])
    expect(readings[2]?.f0Hz).toBe(100)
    // What was moved makes no claim about its spread.
    expect(readings.map(({ spreadCents }) => Number.isNaN(spreadCents))).toEqual([
      false,
      true,
      true,
      true,
      false,
      false,
    ])
  })

  it('without a target shows the nearest note of A4 = 440 Hz', () => {
    // G2 is 440 / 2^(26/12) = 97.9989 Hz, 35.0 c under 100 Hz.
    const note = 440 / 2 ** (26 / 12)
    const off = 1200 * Math.log2(note / 100)
    const near = [off + 2, off + 4].flatMap((c) => Array(4).fill(cents(c)))
    const readings = shown(near, settings, loud(200))
    expect(readings[0]?.f0Hz).toBeCloseTo(note, 9)
    expect(inCents(readings[1] as Reading)).toBeCloseTo(off + 4, 6)
  })

  it('of 0 moves nothing', () => {
    const readings = shown(script, { ...settings, inRangeCents: 0 }, loud(600), { targetHz: 100 })
    expect(rounded(readings)).toEqual(averages)
  })

  it('holds readings that tremble inside it', () => {
    const trembling = Array.from({ length: 40 }, (_, i) => cents(i % 2 === 0 ? 2.5 : -2.5))
    const given = { averagingMs: 50, updateHz: 20 }
    const claim = { spanCents: 2, holdS: 0.25, tolCents: 5 }
    const held = (inRangeCents: number) =>
      firstHold(shown(trembling, { ...given, inRangeCents }, loud(1000), { targetHz: 100 }, 50), 1000, claim)
    expect(held(0)).toBeNull()
    // Shown are 0 c at 50, 100, 150, 200, 250: the fifth makes the hold.
    expect(held(3)).toMatchObject({ lockS: 0.25 })
  })
})

describe('as a method', () => {
  it('has the settings of the method and of the display, and opens with its own defaults', () => {
    const yin = methodById('yin')
    const behind = displayed(yin, { averagingMs: 300 })
    expect(Object.keys(behind.fields)).toEqual([...Object.keys(yin.fields), ...Object.keys(displayFields)])
    expect(behind.fields.averagingMs).toEqual({ ...displayFields.averagingMs, default: 300 })
    expect(behind.fields.updateHz).toEqual(displayFields.updateHz)
    expect([behind.id, behind.family, behind.source]).toEqual(['yin-displayed', yin.family, yin.source])
  })

  it('takes the settings of both at once', () => {
    const method = displayed(scripted(Array(40).fill(100), 25))
    // A step of 200 samples: the first answer comes with the update at 200, not at 100.
    const readings = listen(method, loud(400), stream, { hop: 200, updateHz: 10, averagingMs: 100 })
    expect(readings.map(({ f0Hz }) => f0Hz > 0)).toEqual([false, true, true, true])
  })

  it.each([
    [{ averagingMs: 49 }, 'display.averagingMs', '49 is below 50 ms'],
    [{ averagingMs: 801 }, 'display.averagingMs', '801 is above 800 ms'],
    [{ updateHz: 31 }, 'display.updateHz', '31 is above 30 Hz'],
    [{ inRangeCents: 8.5 }, 'display.inRangeCents', '8.5 is above 8 c'],
    [{ brightness: 3 }, 'display.brightness', 'no such setting; known are averagingMs, updateHz, inRangeCents, gateDb'],
  ])('refuses %j', (settings, where, what) => {
    try {
      displayed(methodById('yin'), settings)
    } catch (problem) {
      expect(problem).toBeInstanceOf(Problem)
      expect([(problem as Problem).where, (problem as Problem).message]).toEqual([where, what])
      return
    }
    throw new Error('it was taken')
  })
})

describe('lock time', () => {
  const rate = 48000
  const claim = { spanCents: 6, holdS: 0.25, tolCents: 5 }
  /** 0.5 s of silence, then a tone of two partials. */
  const take = Float32Array.from({ length: 2 * rate }, (_, i) =>
    i < rate / 2 ? 0 : 0.2 * Math.sin((2 * Math.PI * 110 * i) / rate) + 0.1 * Math.sin((2 * Math.PI * 220 * i) / rate),
  )
  const at: Stream = { sampleRateHz: rate, lowestHz: 30, highestHz: 1400, targetHz: 110, room: null }
  const lockOf = (method: Method, values: Readonly<Record<string, number>>): number =>
    firstHold(listen(method, take, at, values), rate, claim)?.lockS ?? Number.NaN

  it.each(['yin', 'mpm', 'partial-fit'])(
    'of %s is nearly its own behind the quickest display at its hop rate',
    (id) => {
      // A hop of 1600 samples is the quickest display's 30 Hz. Once readings agree, a shown value agrees with them as soon as
      // the averaging time (50 ms) holds no older ones, and is seen at the next update (33 ms): no later than both together.
      // It is earlier by no more than they are: a hold is as long, and no shown value is older than its readings. But both
      // grids of time round the end of the hold up: one step of 33 ms.
      const own = lockOf(methodById(id), { hop: 1600 })
      const behind = lockOf(displayed(methodById(id), { averagingMs: 50, updateHz: 30 }), { hop: 1600 })
      expect(own).toBeGreaterThan(0.75)
      expect(behind).toBeGreaterThan(own - 1 / 30)
      expect(behind).toBeLessThan(own + 0.05 + 1 / 30)
    },
  )

  it('is none behind a display that shows fewer than five values in the hold', () => {
    // Five values need four periods: 0.25 s from 16 Hz on.
    expect(lockOf(displayed(methodById('yin'), { averagingMs: 50, updateHz: 15.9 }), {})).toBeNaN()
    expect(lockOf(displayed(methodById('yin'), { averagingMs: 50, updateHz: 16 }), {})).toBeGreaterThan(0.75)
  })
})
