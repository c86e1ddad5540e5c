import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/maths/random.ts'
import { mean, rms } from '../../src/core/maths/statistics.ts'
import { Draws } from '../../src/core/plan/draws.ts'
import { type Claims, partsOfClaims } from '../../src/core/plan/ownclaims.ts'
import { RecordedPlucks } from '../../src/core/plan/plucks.ts'
import { madeRecords } from './planparts.ts'

/** `plucks` of each string in each cell, strings by turns. */
const claimsOf = (
  strings: number,
  plucks: number,
  cells: number,
  claim: (string: number, harderDb: number, cell: number) => number,
  harderDb: (pluck: number) => number = () => 0,
): Claims[] =>
  Array.from({ length: cells }, (_, cell) => {
    const all = Float64Array.from({ length: strings * plucks }, (_, pluck) => harderDb(pluck))
    return {
      harderDb: all,
      detuneCents: new Float64Array(all.length),
      ofString: Uint32Array.from(all, (_, pluck) => pluck % strings),
      errorCents: Float64Array.from(all, (db, pluck) => claim(pluck % strings, db, cell)),
    }
  })

type Parts = ReturnType<typeof partsOfClaims>[number]

/** What a pluck's parts come to for string `string`. */
const madeUp = ({ usualCents, spreadCents, own, wide, noise }: Parts, pluck: number, string: number): number =>
  usualCents[pluck] + spreadCents[pluck] * (own[string] + wide[string] * noise[pluck])

/** Of each pluck without what is any string's own, for a string as usual. */
const aloneCents = ({ usualCents, spreadCents, noise }: Parts): Float64Array =>
  noise.map((value, pluck) => usualCents[pluck] + spreadCents[pluck] * value)

describe('what belongs to a string in its claims', () => {
  it('is all of them where noise is nothing beside it, and another pluck of the string says the same', () => {
    const owns = Float64Array.from({ length: 40 }, (_, string) => (7 * string) % 11)
    const [parts] = partsOfClaims(
      claimsOf(40, 4, 1, (string) => owns[string]),
      40,
    )
    for (const [string, own] of owns.entries())
      for (const pluck of [0, 17, 120]) expect(madeUp(parts, pluck, string)).toBeCloseTo(own, 9)
  })

  it.each([
    [1, 0.4],
    [0.5, 1],
    [1.5, 0],
  ])('and the rest spread as they were put in: plucks %f c, strings %f c', (pluckCents, stringCents) => {
    const [strings, plucks] = [400, 4]
    const random = randomStream(17, 'parts', pluckCents)
    const owns = Float64Array.from({ length: strings }, () => stringCents * random.gaussian())
    const [parts] = partsOfClaims(
      claimsOf(strings, plucks, 1, (string) => 2 + owns[string] + pluckCents * random.gaussian()),
      strings,
    )
    const n = strings * plucks
    const alone = aloneCents(parts)
    const middle = mean(alone)
    const noise = rms(alone.map((cents) => cents - middle))
    // Of 1200 nearly independent deviations a standard deviation is known to 2 %, of what strings have in common (the pairs of 400) to
    // 1 / sqrt(2 * 400) of their whole: four of both.
    expect(Math.abs(noise / pluckCents - 1)).toBeLessThan(4 * Math.hypot(0.02, 0.02 * (stringCents / pluckCents) ** 2))
    const own = parts.own.map((value) => value * parts.spreadCents[0])
    const usual = mean(own)
    const spread = rms(own.map((cents) => cents - usual))
    const whole = Math.hypot(stringCents, pluckCents)
    // A variance of strings is known to whole^2 sqrt(2 / pairs) besides its own 7 %; three of that.
    const openTo = 3 * Math.hypot(0.07 * stringCents ** 2, whole ** 2 * Math.sqrt(2 / (n * 3)))
    expect(Math.abs(spread ** 2 - stringCents ** 2)).toBeLessThan(openTo)
    expect(Math.abs(middle + usual - 2)).toBeLessThan((4 * whole) / Math.sqrt(strings))
  })

  it('shrinks where plucks lie closer: what a soft pluck shows of a string a hard one hardly does', () => {
    const owns = Float64Array.from({ length: 60 }, (_, string) => ((7 * string) % 11) - 5)
    // Forces differ from string to string and pluck to pluck, and have nothing to do with what is the string's own.
    const force = (pluck: number): number => ((13 * pluck) % 17) - 8
    const [parts] = partsOfClaims(
      claimsOf(60, 4, 1, (string, db) => owns[string] * (db < 0 ? 1 : 0.1), force),
      60,
    )
    const [soft, hard] = [-6, 6].map((db) =>
      Array.from({ length: 240 }, (_, pluck) => pluck).filter((pluck) => force(pluck) === db),
    )
    const apart = (plucks: readonly number[] = []): number =>
      mean(plucks.map((pluck) => Math.abs(parts.spreadCents[pluck])))
    // Medians of some forty plucks: to a third.
    expect(apart(soft) / apart(hard)).toBeGreaterThan(6)
    expect(apart(soft) / apart(hard)).toBeLessThan(15)
  })

  it('does not take the room’s or the glide’s part for the string’s: what all plucks as hard have in common is no string’s', () => {
    // Three dB apart: who is as hard is exactly as hard.
    const force = (pluck: number): number => 3 * (((13 * pluck + Math.floor(pluck / 60)) % 5) - 2)
    const [parts] = partsOfClaims(
      claimsOf(60, 4, 1, (_, db) => Math.exp(db / 6), force),
      60,
    )
    for (const own of parts.own) expect(Math.abs(own)).toBeLessThan(1e-9)
  })

  it('is how far its claims lie apart too: of strings at 0.5 and 1.5 c as far as they were put', () => {
    const random = randomStream(19, 'wide')
    const put = (string: number): number => (string % 2 === 0 ? 0.5 : 1.5)
    const [parts] = partsOfClaims(
      claimsOf(400, 6, 3, (string) => put(string) * random.gaussian()),
      400,
    )
    const [narrow, wide] = [0, 1].map((odd) => mean(parts.wide.filter((_, string) => string % 2 === odd)))
    // Put in: half of the usual more or less. Nine pairs tell a string's to 0.25 of it (|d| of a normal difference has 0.76 of its mean), so
    // what is told goes with it by 0.5 / hypot(0.5, 0.25 sqrt(1.25)) = 0.87, and drawn together spreads by 0.5: means of 1 ± 0.44.
    // Each is known to 0.25 / sqrt(200) of itself, what strings differ by to 8 %: the ratio to 7 %, four of those.
    expect(Math.abs(wide / narrow / (1.44 / 0.56) - 1)).toBeLessThan(0.28)
    const cents = Array.from({ length: 2400 }, (_, pluck) => madeUp(parts, pluck, (7 * pluck) % 400))
    // All together as far apart as put in, whichever pluck stands for which string: root of the mean of 0.25 and 2.25, known to 2 %; five of those.
    expect(Math.abs(rms(cents) / Math.sqrt(1.25) - 1)).toBeLessThan(0.1)
  })

  it('is no string’s where all are alike: how far claims of one lie apart is chance', () => {
    const random = randomStream(20, 'alike')
    const [parts] = partsOfClaims(
      claimsOf(400, 6, 3, () => random.gaussian()),
      400,
    )
    const spread = rms(parts.wide.map((value) => value - mean(parts.wide)))
    // What 400 strings of 9 pairs each seem to have in common: 0.57 of the usual / (36 pairs of pairs * 400)^(1/4).
    expect(spread).toBeLessThan(3 * (0.57 / 0.8 / (36 * 400) ** 0.25))
  })

  it('is told by plucks nearly in tune: one far off is noise, however far its claim', () => {
    const near = claimsOf(40, 5, 1, (string) => (string % 7) - 3)
    const far = near.map((cell) => ({
      ...cell,
      detuneCents: cell.detuneCents.map((_, pluck) => (pluck >= 160 ? 60 : 0)),
      errorCents: cell.errorCents.map((cents, pluck) => (pluck >= 160 ? cents + 40 : cents)),
    }))
    const [parts] = partsOfClaims(far, 40)
    const [inTune] = partsOfClaims(near, 40)
    for (const [string, own] of parts.own.entries()) expect(own).toBeCloseTo(inTune.own[string], 9)
    for (const pluck of [0, 100]) expect(madeUp(parts, pluck, 3)).toBeCloseTo(0, 9)
    expect(madeUp(parts, 163, 3)).toBeCloseTo(40, 9)
  })

  it('is told by all cells where a string claimed too seldom in one, and is the usual one where it claimed too seldom in all', () => {
    const claims = claimsOf(20, 4, 2, (string, _, cell) =>
      string === 4 && cell === 0 ? Number.NaN : string === 4 ? 5 : string % 2 === 0 ? 4 : 2,
    )
    const silent = claims.map((cell) => ({
      ...cell,
      errorCents: cell.errorCents.map((cents, pluck) =>
        cell.ofString[pluck] === 7 && pluck > 20 ? Number.NaN : cents,
      ),
    }))
    const parts = partsOfClaims(silent, 20)
    // Cells are drawn together by what their own strings say; the silent one lacks one of 20, and a variance moves by a twentieth at most.
    expect(Math.abs(parts[0].own[4] / parts[1].own[4] - 1)).toBeLessThan(0.05)
    const [low, high] = [Math.min(...parts[1].own), Math.max(...parts[1].own)]
    expect(parts[1].own[7]).toBeGreaterThan(low)
    expect(parts[1].own[7]).toBeLessThan(high)
  })

  it('is not told of single strings from one pluck each: what claims differ by is the plucks’', () => {
    const [parts] = partsOfClaims(
      claimsOf(21, 1, 1, (string) => string),
      21,
    )
    expect([...parts.own]).toEqual(Array(21).fill(0))
    for (const [string, cents] of aloneCents(parts).entries()) expect(cents).toBeCloseTo(string, 9)
  })

  it('is nothing where nothing was claimed', () => {
    const [parts] = partsOfClaims(
      claimsOf(3, 4, 1, () => Number.NaN),
      3,
    )
    expect([...parts.own]).toEqual([0, 0, 0])
    expect([...parts.noise].every(Number.isNaN)).toBe(true)
  })

  it('stays with a string all evening; another evening has another string', () => {
    const made = madeRecords([{ lockS: 0.3 }], { n: 30 })
    const own = Float64Array.from({ length: 30 }, (_, string) => string)
    const half = new Float64Array(30).fill(0.5)
    const records = {
      ...made,
      cells: made.cells.map((cells) => cells.map((cell) => ({ ...cell, own, usualCents: half, spreadCents: half }))),
    }
    const plucks = new RecordedPlucks(records)
    const evenings = 12
    const draws = new Draws(3, evenings, made.strings.length)
    const told = Array.from({ length: evenings }, (_, evening) =>
      Array.from({ length: 8 }, (_, pluck) => {
        draws.at(evening, 2, pluck)
        plucks.draw(evening, 2, 0, { snrDb: 10, harderDb: 0, residualCents: 0, last: plucks.taken }, draws)
        return plucks.errorCents
      }),
    )
    for (const [evening, errors] of told.entries()) {
      const string = Math.floor(draws.stringOf(evening, 2) * 30)
      expect(errors).toEqual(Array.from({ length: 8 }, () => 0.5 + 0.5 * string))
    }
    expect(new Set(told.map(([first]) => first)).size).toBeGreaterThan(6)
  })
})
