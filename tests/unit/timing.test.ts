/** Timing with a clock that only methods move: what is counted, what is left out, what is said of it. */
import { describe, expect, it } from 'vitest'
import { methodById } from '../../src/core/methods/index.ts'
import { method as listed, type Method } from '../../src/core/methods/method.ts'
import { type TimingSettings, timeMethod, timeMethods } from '../../src/core/study/timing.ts'

const samples = new Float32Array(4096)
const settings: TimingSettings = { rounds: 5, roundMs: 10, roundFrames: 4, mostMs: 1000 }
let clockMs = 0
const now = (): number => clockMs

/** Emits a reading a hop of 512 from `fillHops` on; each costs what `costMs` says of its number, filling costs 1000. */
function fake(costMs: (frame: number) => number, fillHops = 3, emits = true): Method {
  return listed({
    id: 'fake',
    title: 'fake',
    source: 'none',
    family: 'blind',
    fields: { hop: { default: 512, min: 1, max: 4096, unit: 'samples', help: '' } },
    open() {
      let hops = 0
      let frame = 0
      return {
        push(block, emit) {
          expect(block).toHaveLength(512)
          hops++
          if (hops <= fillHops || !emits) {
            clockMs += 1000
            return
          }
          clockMs += costMs(frame++)
          emit({ fromSample: 0, toSample: 1, atSample: 0, f0Hz: 110, confidence: 1, spreadCents: Number.NaN })
        },
      }
    },
  })
}

describe('timing a method', () => {
  it('is the time of its frames, the filling of its window left out', () => {
    const timing = timeMethod(
      fake(() => 2),
      samples,
      now,
      settings,
    )
    // 10 ms a round are five frames of 2 ms; a hop of 512 at 48 kHz lasts 10.667 ms.
    expect(timing).toMatchObject({ microsecondsAFrame: 2000, fastest: 2000, slowest: 2000, rounds: 5, frames: 25 })
    expect(timing.coreShare).toBeCloseTo(2 / (512 / 48), 12)
    expect(timing.keepsUp).toBe(true)
  })

  it('throws the first round away and is not moved by one slow round', () => {
    // Number 0 ends the filling, 1 and 2 are the first round, then come rounds of 4 frames of 3 ms, the second of them slow.
    const timing = timeMethod(
      fake((frame) => (frame < 3 ? 900 : frame > 6 && frame < 11 ? 30 : 3)),
      samples,
      now,
      settings,
    )
    expect(timing.microsecondsAFrame).toBe(3000)
    expect(timing.slowest).toBe(30000)
  })

  it('says who does not keep up, and stops a round of a slow one early', () => {
    const timing = timeMethod(
      fake(() => 600),
      samples,
      now,
      { ...settings, mostMs: 1000 },
    )
    expect(timing).toMatchObject({ keepsUp: false, frames: 10, microsecondsAFrame: 600_000 })
    expect(timing.coreShare).toBeCloseTo(600 / (512 / 48), 12)
  })

  it('times one frame of a method slower than a whole round may be', () => {
    expect(
      timeMethod(
        fake(() => 5000),
        samples,
        now,
        settings,
      ),
    ).toMatchObject({ frames: 5, microsecondsAFrame: 5e6 })
  })

  it('never throws: a method that emits nothing has a problem', () => {
    const timing = timeMethod(
      fake(() => 1, 3, false),
      samples,
      now,
      settings,
    )
    expect(timing).toMatchObject({ keepsUp: false, rounds: 0, problem: 'emits no reading' })
    expect(timing.microsecondsAFrame).toBeNaN()
  })

  it('hears real methods of both families on the standard take', () => {
    let at = 0
    const ticking = (): number => at++
    const timings = [
      ...timeMethods([methodById('yin'), methodById('partial-fit')], ticking, { ...settings, rounds: 1 }),
    ]
    expect(timings.map(({ method, family, problem }) => [method, family, problem])).toEqual([
      ['yin', 'blind', null],
      ['partial-fit', 'aimed', null],
    ])
    // The clock ticks once a hop: a millisecond a frame.
    expect(timings.map(({ microsecondsAFrame }) => microsecondsAFrame)).toEqual([1000, 1000])
  })
})
