import { describe, expect, it } from 'vitest'
import { normalDeviate } from '../../src/core/maths/normal.ts'
import { atUsualForce } from '../../src/core/plan/usualforce.ts'
import type { SyntheticPluck } from '../../src/core/scene/scene.ts'
import { planStudy, presetStudy, roomById, stringById } from '../../src/core/study/presets.ts'
import { pluckedHarder, syntheticPluck } from '../../src/core/study/stringpluck.ts'
import { trialAt } from '../../src/core/study/trial.ts'
import { harderDbOf, sceneOf } from '../../src/core/study/trialscene.ts'

describe('plucks of uneven force', () => {
  const pluck = { ...syntheticPluck(stringById('E2'), 0.5, 82.4), glideCents: 3 }

  it('glide with the square of the amplitude: 6.02 dB harder, four times as far; the field’s limit holds', () => {
    expect(pluckedHarder(pluck, 20 * Math.log10(2)).glideCents).toBeCloseTo(12, 3)
    expect(pluckedHarder(pluck, -20 * Math.log10(2)).glideCents).toBeCloseTo(0.75, 3)
    expect(pluckedHarder(pluck, 40).glideCents).toBe(50)
    expect(pluckedHarder(pluck, 0)).toBe(pluck)
  })

  it('differ from repeat to repeat by the study’s spread, and from ratio to ratio where strings are plucked anew', () => {
    const study = planStudy({ room: roomById('stage') })
    const id = study.strings[0].id
    const dbs = Array.from({ length: 400 }, (_, repeat) => harderDbOf(study, id, { repeat, snrDb: study.snrsDb[0] }))
    const sd = Math.sqrt(dbs.reduce((sum, db) => sum + db * db, 0) / dbs.length)
    // A spread known from 400 draws to 3.5 %: four of those.
    expect(Math.abs(sd / 4 - 1)).toBeLessThan(0.14)
    // Of every 25 near ones in a row, and of far ones, one lies in each of 25 equally likely parts.
    for (const from of [0, 1, 50, 51]) {
      const row = dbs.filter((_, repeat) => repeat >= from && repeat < from + 50 && (repeat - from) % 2 === 0)
      expect(row).toHaveLength(25)
      for (const [part, db] of row.sort((a, b) => a - b).entries()) {
        expect(db / 4).toBeGreaterThanOrEqual(normalDeviate(part / 25))
        expect(db / 4).toBeLessThanOrEqual(normalDeviate((part + 1) / 25))
      }
    }
    const glideAt = (index: number): number => {
      const trial = trialAt(study, index)
      const [room] = study.rooms
      return (sceneOf(study, study.strings[0], room, trial).plucks[0] as SyntheticPluck).glideCents
    }
    expect(glideAt(7)).not.toBe(glideAt(7 + study.repeats))
    expect(glideAt(7)).toBeCloseTo(3 * 10 ** (harderDbOf(study, id, { repeat: 7, snrDb: study.snrsDb[0] }) / 10), 3)
  })

  it('change nothing in a study that does not speak of them', () => {
    const study = presetStudy('quick')
    expect(harderDbOf(study, 'E2', { repeat: 5, snrDb: 0 })).toBe(0)
  })
})

describe('what is read off in quiet', () => {
  const harderDb = Float64Array.from({ length: 21 }, (_, i) => i - 10)
  const own = harderDb.map((_, i) => (i % 3) - 1)

  it('is told for plucks of usual force: a share of the glide is taken out, what the strings do stays', () => {
    const read = own.map((cents, i) => cents + 0.5 * (10 ** (harderDb[i] / 10) - 1))
    const usual = atUsualForce(read, harderDb)
    // The slope is a median over pairs whose own parts differ by at most 2 c: the strings' pattern leaves it near, not exact.
    for (const [i, cents] of usual.entries())
      expect(Math.abs(cents - own[i])).toBeLessThan(0.1 * 10 ** (harderDb[i] / 10) + 0.1)
  })

  it('is exact where strings are alike, and not turned by octave errors', () => {
    const read = harderDb.map((db) => 2 + 0.5 * (10 ** (db / 10) - 1))
    read[3] += 1200
    read[17] -= 1200
    const usual = atUsualForce(read, harderDb)
    for (const [i, cents] of usual.entries()) if (i !== 3 && i !== 17) expect(cents).toBeCloseTo(2, 9)
  })

  it('is left as it is where plucks are few, all alike, or nothing was read', () => {
    expect(atUsualForce(own.slice(0, 5), harderDb.slice(0, 5))).toEqual(own.slice(0, 5))
    expect(atUsualForce(own, new Float64Array(21))).toEqual(own)
    expect(atUsualForce(new Float64Array(21).fill(Number.NaN), harderDb)[0]).toBeNaN()
  })
})
