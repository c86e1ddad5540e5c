import { describe, expect, it } from 'vitest'
import { normalDeviate } from '../../src/core/maths/normal.ts'
import { AsHard, asHardShares, usualByForce } from '../../src/core/plan/byforce.ts'
import { Draws } from '../../src/core/plan/draws.ts'
import { RecordedPlucks } from '../../src/core/plan/plucks.ts'
import { ByForceSteps, StandIns } from '../../src/core/plan/standins.ts'
import type { SyntheticPluck } from '../../src/core/scene/scene.ts'
import { planStudy, presetStudy, roomById, stringById } from '../../src/core/study/presets.ts'
import { pluckedHarder, syntheticPluck } from '../../src/core/study/stringpluck.ts'
import { trialAt } from '../../src/core/study/trial.ts'
import { harderDbOf, sceneOf } from '../../src/core/study/trialscene.ts'
import { madeRecords } from './planparts.ts'

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
    // Of every 20 near ones in a row, and of each sort of far ones, one lies in each of 20 equally likely parts.
    const turns = [0, 1, 2, 3, 4].map((turn) => dbs.filter((_, repeat) => Math.floor((repeat % 25) / 5) === turn))
    const near = dbs.filter((_, repeat) => repeat % 25 < 15)
    for (const row of [near.slice(0, 20), near.slice(20, 40), ...turns.slice(3).map((list) => list.slice(0, 20))]) {
      expect(row).toHaveLength(20)
      for (const [part, db] of row.sort((a, b) => a - b).entries()) {
        expect(db / 4).toBeGreaterThanOrEqual(normalDeviate(part / 20))
        expect(db / 4).toBeLessThanOrEqual(normalDeviate((part + 1) / 20))
      }
    }
    const sceneAt = (index: number) => sceneOf(study, study.strings[0], study.rooms[0], trialAt(study, index))
    const glideAt = (index: number): number => (sceneAt(index).plucks[0] as SyntheticPluck).glideCents
    expect(glideAt(7)).not.toBe(glideAt(7 + study.repeats))
    const harderDb = harderDbOf(study, id, { repeat: 7, snrDb: study.snrsDb[0] })
    expect(glideAt(7)).toBeCloseTo(3 * 10 ** (harderDb / 10), 3)
    // The room does not get louder with the pluck.
    expect(sceneAt(7).room?.snrDb).toBeCloseTo(study.snrsDb[0] + harderDb, 9)
  })

  it('change nothing in a study that does not speak of them', () => {
    const study = presetStudy('quick')
    expect(harderDbOf(study, 'E2', { repeat: 5, snrDb: 0 })).toBe(0)
  })
})

describe('plucks as hard as one', () => {
  const rowDb = Float64Array.of(-9, -4, -1, -0.5, 0, 0.2, 0.9, 3, 8)
  const found = (db: number, fewest: number, row = rowDb): number[] => {
    const window = new AsHard(row)
    window.find(db, fewest)
    return [...row.subarray(window.from, window.to)]
  }

  it('lie within 1 dB of it, of both ends the lower counted', () => {
    expect(found(0, 1)).toEqual([-1, -0.5, 0, 0.2, 0.9])
    expect(found(-0.2, 1)).toEqual([-1, -0.5, 0, 0.2])
  })

  it('are the nearest where too few are as hard, and no more than there are', () => {
    expect(found(6, 2)).toEqual([3, 8])
    expect(found(-20, 2)).toEqual([-9, -4])
    expect(found(40, 3)).toEqual([0.9, 3, 8])
    expect(found(0, 9, Float64Array.of(0.9, 3))).toEqual([0.9, 3])
    expect(found(0, 1, new Float64Array(0))).toEqual([])
  })
})

describe('plucks that stand in for one', () => {
  /** Softest first, every 20th of a dB; detunes by turns. */
  const n = 161
  const harderDb = Float64Array.from({ length: n }, (_, at) => (at - 80) / 20)
  const turns = [-60, -15, -4, 0, 4, 15, 60]
  const detuneCents = Float64Array.from({ length: n }, (_, at) => turns[at % turns.length])
  const trials = Uint32Array.from({ length: n }, (_, at) => 1000 + at)
  const standIns = new StandIns(trials, harderDb, detuneCents)
  const picked = (harder: number, residualCents: number, last = -1): number[] => {
    const places = Array.from({ length: 400 }, (_, chance) =>
      standIns.pick({ snrDb: 10, harderDb: harder, residualCents, last }, chance / 400),
    )
    return [...new Set(places)].sort((a, b) => a - b)
  }

  it('are as hard and as far off, on the same side', () => {
    for (const residual of [-15, 0, 4, 60]) {
      for (const place of picked(1, residual)) {
        expect(Math.abs(harderDb[place] - 1)).toBeLessThanOrEqual(1)
        expect(detuneCents[place]).toBe(residual)
      }
    }
    // Within 1 dB of 0 lie 40 plucks, every seventh of them in tune.
    expect(picked(0, 0).map((place) => place % 7)).toEqual(Array(picked(0, 0).length).fill(3))
    expect(picked(0, 0).length).toBeGreaterThanOrEqual(5)
  })

  it('are the nearest three, and all that are as near, where fewer are as hard and as far off', () => {
    const far = picked(-4, 10)
    expect(far.length).toBeGreaterThanOrEqual(3)
    for (const place of far) expect([4, 15]).toContain(detuneCents[place])
    const same = new StandIns(trials, new Float64Array(n), new Float64Array(n))
    const places = new Set(
      Array.from({ length: 1000 }, (_, chance) =>
        same.pick({ snrDb: 10, harderDb: -7, residualCents: 30, last: -1 }, chance / 1000),
      ),
    )
    expect(places.size).toBe(n)
  })

  it('are never the last one again, unless there is no other', () => {
    const [first] = picked(0, 0)
    expect(picked(0, 0, 1000 + first)).not.toContain(first)
    const alone = new StandIns(Uint32Array.of(7), Float64Array.of(1), Float64Array.of(0))
    expect(alone.pick({ snrDb: 10, harderDb: 0, residualCents: 0, last: 7 }, 0.5)).toBe(0)
  })

  it('are told of by steps: what is asked between two dB lies between what is told at both', () => {
    const steps = new ByForceSteps(harderDb, harderDb)
    for (const db of [-3.5, 0, 0.25, 2.75]) expect(steps.at(db)).toBeCloseTo(db, 9)
    expect([steps.at(-30), steps.at(30)]).toEqual([-4, 4])
  })
})

describe('a pluck softer than usual', () => {
  /** At 0 dB nothing is claimed, at 10 dB everything. */
  const lockedAt = (snrDb: number, harderDb: number, spreadDb: number): number => {
    const made = madeRecords([{ lockS: 0.3 }], { n: 60, snrsDb: [0, 10] })
    const forced = made.cells.map((cells) =>
      cells.map((cell) => ({
        ...cell,
        harderDb: cell.harderDb.map((_, trial) => (spreadDb * (2 * trial - 59)) / 59),
        lockS: cell.snrDb === 0 ? cell.lockS.map(() => Number.NaN) : cell.lockS,
      })),
    )
    const plucks = new RecordedPlucks({ ...made, cells: forced })
    const draws = new Draws(3, 1, made.strings.length)
    draws.at(0, 2, 0)
    plucks.draw(0, 2, 0, { snrDb, harderDb, residualCents: 0, last: -1 }, draws)
    return plucks.lockS
  }

  it('is one of the noisier ratio where all were recorded as hard', () => {
    expect(lockedAt(10, 0, 0)).toBe(0.3)
    expect(lockedAt(10, -0.9, 0)).toBe(0.3)
    expect(lockedAt(10, -2, 0)).toBeNaN()
    expect(lockedAt(8, 0, 0)).toBeNaN()
    expect(lockedAt(8, 3, 0)).toBe(0.3)
  })

  it('is one of the planned ratio where plucks as soft were recorded there, for their ratio went with them', () => {
    expect(lockedAt(10, -8, 9)).toBe(0.3)
    expect(lockedAt(10, -9.9, 9)).toBe(0.3)
    expect(lockedAt(10, -10.1, 9)).toBeNaN()
  })
})

describe('what is usual of plucks as hard', () => {
  const harderDb = Float64Array.from({ length: 401 }, (_, i) => (i - 200) / 20)

  it('is their median, whatever curve it follows; octaves do not turn it, what was not read is not asked', () => {
    const read = harderDb.map((db, i) => (i % 50 === 7 ? 1200 : i % 50 === 9 ? Number.NaN : 3 * Math.tanh(db / 3)))
    const usual = usualByForce(read, harderDb, harderDb)
    for (const [i, db] of harderDb.entries()) {
      // The curve rises by up to 1 c a dB, so its median is what stands in the window's middle: half a step of 0.05 dB under it, for of the
      // ends the lower one counts, and the one octave and the one gap of a window move it by a step each at most.
      if (Math.abs(db) < 9) expect(Math.abs(usual[i] - 3 * Math.tanh(db / 3))).toBeLessThan(0.12)
    }
  })

  it('is told for other forces too, and of nothing nothing', () => {
    // Forces are 0.05 dB apart, and of the window's ends the lower one counts: half a step under.
    const told = usualByForce(harderDb, harderDb, Float64Array.of(0, 5))
    expect(told[0]).toBeCloseTo(-0.025, 9)
    expect(told[1]).toBeCloseTo(4.975, 9)
    expect(usualByForce(new Float64Array(3).fill(Number.NaN), new Float64Array(3), new Float64Array(1))[0]).toBeNaN()
  })

  it('of losses is their share', () => {
    const lockS = harderDb.map((db) => (db < 0 ? Number.NaN : 0.3))
    const shares = asHardShares(lockS, harderDb)
    expect([shares[0], shares[400]]).toEqual([1, 0])
    // Of the 40 from -1 dB up to but not 1 dB, 20 are under 0.
    expect(shares[200]).toBeCloseTo(20 / 40, 9)
  })
})
