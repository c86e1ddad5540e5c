import { describe, expect, it } from 'vitest'
import { centsBetween, hzFromCents } from '../../src/core/maths/units.ts'
import { Problem } from '../../src/core/problem.ts'
import { parseScene } from '../../src/core/scene/parse.ts'
import { render } from '../../src/core/scene/render.ts'
import { fitString } from '../../src/core/study/fitstring.ts'

const sampleRateHz = 44100
const samplesOf = (pluck: object, more: object = {}): Float32Array =>
  render(parseScene({ sampleRateHz, durationS: 2.2, plucks: [{ onsetS: 0.3, ...pluck }], ...more }), new Map()).take
    .samples

const levelsDb = [-6, 0, -12, -3, -20, -9, -15, -24]
const known = {
  firstPartialHz: 110,
  stiffness: 8e-5,
  firstPartialOffsetCents: -4,
  partialLevelsDb: levelsDb,
  partialDecaysS: [6, 5, 8, 3, 4, 2.5, 2, 1.5],
}

describe('a string fitted to one that is known', () => {
  it.each([41.2, 110, 440])('has its law, levels, decays and offset at %d Hz', (firstPartialHz) => {
    const { pluck, partials } = fitString(samplesOf({ ...known, firstPartialHz }), {
      sampleRateHz,
      onsetS: 0.3,
      // A player's guess, a quarter tone less 10 c off.
      aboutHz: hzFromCents(40, firstPartialHz),
    })
    expect(partials).toHaveLength(levelsDb.length)
    // The next partials reach through a frame's window under -70 dB: 3e-4 of a turn in 1.25 s, 0.01 c of the lowest partial of
    // all, times 10 for one 20 dB down.
    expect(Math.abs(centsBetween(pluck.firstPartialHz, firstPartialHz))).toBeLessThan(0.1)
    expect(Math.abs(pluck.firstPartialOffsetCents + 4)).toBeLessThan(0.1)
    // 0.1 c at partial 8, where the law has risen by 866 c B 63.
    expect(Math.abs(pluck.stiffness - known.stiffness)).toBeLessThan(0.1 / (866 * 63))
    for (const [i, levelDb] of levelsDb.entries()) {
      // A partial falls within a frame; 60 dB in 1.5 s bend a frame of 0.146 s by under 0.2 dB.
      expect(Math.abs((pluck.partialLevelsDb[i] ?? 0) - levelDb), `level ${i + 1}`).toBeLessThan(0.3)
      expect((pluck.partialDecaysS[i] ?? 0) / known.partialDecaysS[i], `decay ${i + 1}`).toBeCloseTo(1, 1)
    }
  })

  it('tells deviations from the law without using them', () => {
    const partialOffsetsCents = [0, 0, 3, 0, 0, -5, 0, 0]
    const fitted = fitString(samplesOf({ ...known, partialOffsetsCents }), { sampleRateHz, onsetS: 0.3, aboutHz: 110 })
    for (const [i, cents] of partialOffsetsCents.entries()) {
      // Two of seven bend the line, by less than all of them are off in the mean: (3 + 5) / 7 c.
      expect(Math.abs((fitted.partialOffsetsCents[i] ?? 0) - cents), `partial ${i + 1}`).toBeLessThan(8 / 7)
    }
    expect(fitted.scatterCents).toBeGreaterThan(0.3)
  })

  it('does not count noise for partials', () => {
    const noises = [{ id: 'pink', snrDb: 40 }]
    const { partials } = fitString(samplesOf(known, { noises }), { sampleRateHz, onsetS: 0.3, aboutHz: 110 })
    expect(partials).toHaveLength(levelsDb.length)
  })

  it('makes a pluck that a scene takes', () => {
    const { pluck, partialOffsetsCents } = fitString(samplesOf(known), { sampleRateHz, onsetS: 0.3, aboutHz: 110 })
    expect(() => parseScene({ plucks: [{ ...pluck, partialOffsetsCents }] })).not.toThrow()
  })

  it('refuses a span outside the recording, a short one, and silence', () => {
    const samples = samplesOf(known)
    const at = { sampleRateHz, onsetS: 0.3, aboutHz: 110 }
    expect(() => fitString(samples, { ...at, toS: 2 })).toThrow(Problem)
    expect(() => fitString(samples, { ...at, fromS: 1.4 })).toThrow(Problem)
    expect(() => fitString(new Float32Array(samples.length), at)).toThrow(Problem)
  })
})
