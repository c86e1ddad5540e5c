/**
 * Predictions of a session: the study that is made, what its outcomes come to where that is known by hand, and whether
 * intervals hold what they say on imagined outcomes. On sound: tests/bench/prediction.ts.
 */
import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/maths/random.ts'
import { noiseFigures } from '../../src/core/room/noisetake.ts'
import { type PredictedString, predictedString } from '../../src/core/room/predictedstring.ts'
import { drawnOf, levelStepDb, predictionStudy, predictionTrials } from '../../src/core/room/prediction.ts'
import { chosenSentence } from '../../src/core/room/predictionchoice.ts'
import { predictionOf } from '../../src/core/room/predictionoutcome.ts'
import { stringFigures } from '../../src/core/room/stringtake.ts'
import { usualGlides } from '../../src/core/room/usualglides.ts'
import { parseStudy } from '../../src/core/study/parse.ts'
import type { Outcome, Study } from '../../src/core/study/study.ts'
import { trialAt } from '../../src/core/study/trial.ts'
import { makeTake, roomStrings } from './roomtakes.ts'

const partial = {
  ...{ levelDb: 0, levelSpreadDb: 1, mostDb: Number.POSITIVE_INFINITY, decayS: 3, decaySpread: 0.1 },
  ...{ offsetCents: 1, offsetSpreadCents: 0.5, lineSpreadDb: { height: 0, tilt: 0 } },
}
const string = (id: string, over: Partial<PredictedString> = {}): PredictedString => ({
  ...{ id, targetHz: 110, stiffness: 5e-5, stiffnessSpread: 1e-5, partials: [partial, partial] },
  glidesCents: usualGlides(null, 0),
  ...{ ratioDb: 8, ratioErrorDb: 2, ratioSpreadDb: 2 },
  ...over,
})
const noise = {
  samples: Float32Array.from({ length: 64000 }, (_, i) => 0.1 + ((i * 7919) % 101) / 1000),
  sampleRateHz: 8000,
}
const choices = ['mpm', 'partial-fit'].map((id) => ({ id, values: {} }))
const strings = [string('A2'), string('A2 #2', { ratioDb: 3 })]
const { study, recordings } = predictionStudy({ noise, strings, methods: choices, seed: 5, pairs: 1 })

/** Every second one: at the lower level. */
const softer = (drawn: Study['strings']): Study['strings'] => drawn.filter((_, at) => at % 2 === 0)

/** Outcomes of a study as `tell` imagines them; null: no claim. */
function imagined(
  of: Study,
  tell: (at: { string: string; room: string; snrDb: number; method: string }) => {
    readonly lockS: number
    readonly claimCents: number
  } | null,
): Outcome[] {
  const count = of.strings.length * of.rooms.length * of.snrsDb.length
  const trials = Array.from({ length: count }, (_, index) => trialAt(of, index))
  // A drawn string is plucked with the force of the level that it is heard at.
  const own = trials.filter(
    (trial) => drawnOf(trial.string).number % of.snrsDb.length === of.snrsDb.indexOf(trial.snrDb),
  )
  return own.flatMap((trial) =>
    of.methods.map((method): Outcome => {
      const told = tell({ ...trial, method: method.id })
      const claim = told === null ? 'none' : Math.abs(told.claimCents) <= 5 ? 'true' : 'room'
      const score = { lockS: Number.NaN, claimCents: Number.NaN, ...told, claim }
      return { state: 'scored', trial, method, score: score as never, levels: null }
    }),
  )
}

describe('the study of a prediction', () => {
  it('is one that a file could hold', () => {
    expect(parseStudy(JSON.parse(JSON.stringify(study)))).toEqual(study)
  })

  it('has strings in pairs, off by as much either way, at their own ratios', () => {
    expect(softer(study.strings).map(({ id }) => id)).toEqual(['A2 #0', 'A2 #2', 'A2 #2 #0', 'A2 #2 #2'])
    expect(study.strings.map(({ overStudyDb }) => overStudyDb)).toEqual([8, 8, 8, 8, 3, 3, 3, 3])
    const [one, other] = softer(study.strings)
    const offsets = [one, other].map(({ partials }) => partials?.partialOffsetsCents ?? [])
    for (const k of [0, 1]) expect(offsets[0][k] + offsets[1][k]).toBeCloseTo(2 * partial.offsetCents, 9)
    expect(offsets[0][0]).not.toBeCloseTo(partial.offsetCents, 3)
    // 2 dB softer than the usual pluck, whose median is 3 c.
    const glides = [one, other].map(({ pluck }) => Math.log(pluck.glideCents / (3 * 10 ** -0.2)))
    expect(glides[0]).toBeCloseTo(-glides[1], 9)
    const { partials, pluck } = study.strings[1]
    expect(partials).toEqual(one.partials)
    expect(pluck.glideCents / one.pluck.glideCents).toBeCloseTo(10 ** 0.4, 9)
    expect(pluck.stiffness).toBe(one.pluck.stiffness)
  })

  it('draws more of few strings, and glides from all parts of what is left open, on each string and over all', () => {
    const numbered = strings.map((one) => ({ ...one, glidesCents: Array.from({ length: 64 }, (_, i) => i / 2) }))
    const all = predictionStudy({ noise, strings: numbered, methods: choices, seed: 5 }).study.strings
    const drawn = softer(all)
    expect(drawn).toHaveLength(24)
    const placeOf = ({ pluck }: (typeof drawn)[number]): number => (2 * (pluck.glideCents ?? 0) * 10 ** 0.2 + 0.5) / 64
    // The upper half of 64 values in six parts for the pairs of a string, each part in two for the strings.
    const upper = drawn.flatMap((one, at) => (at % 2 === 0 ? [placeOf(one) - 0.5] : []))
    const lower = drawn.flatMap((one, at) => (at % 2 === 1 ? [0.5 - placeOf(one)] : []))
    const parts = (values: readonly number[], of: number) => values.map((value) => Math.floor(2 * of * value))
    const numbers = (of: number) => Array.from({ length: of }, (_, part) => part)
    // A value stands for a 64th: of twelve parts of 32 it may fall to the next one.
    for (const own of [upper.slice(0, 6), upper.slice(6)]) expect(parts(own, 6).sort()).toEqual(numbers(6))
    expect(
      upper.toSorted((a, b) => a - b).every((value, part) => Math.abs(24 * value - part - 0.5) <= 0.5 + 24 / 64),
    ).toBe(true)
    for (const [at, value] of upper.entries()) expect(Math.abs(value - lower[at])).toBeLessThanOrEqual(1 / 64)
  })

  it('moves all partials that were taken from a line by what the line leaves open, together', () => {
    const sure = { ...partial, levelSpreadDb: 0, decaySpread: 0 }
    const lined = (tilt: number) => ({ ...sure, lineSpreadDb: { height: 3, tilt } })
    const one = [string('A2', { partials: [{ ...sure, levelDb: 60 }, lined(0), lined(0), lined(4)] })]
    const drawn = predictionStudy({ noise, strings: one, methods: choices, seed: 5, pairs: 1 }).study.strings
    const [first, other] = softer(drawn).map(({ partials }) => partials?.partialLevelsDb ?? [])
    expect(first[1]).toBeCloseTo(first[2], 9)
    expect(first[1]).not.toBeCloseTo(other[1], 1)
    expect(first[3]).not.toBeCloseTo(first[2], 1)
    expect(first[1] + other[1]).toBeCloseTo(-120, 9)
  })

  it('plays the take without its offset, from stretches of it that lie apart and never run over its end', () => {
    const [recording] = recordings.values()
    expect(recording.samples.reduce((sum, value) => sum + value, 0) / recording.samples.length).toBeCloseTo(0, 5)
    const values = study.rooms.map(({ parts }) => parts[0].values)
    // 8 s hold takes of 2 s that begin within the first 6.
    expect(values).toEqual([0, 1.5, 3, 4.5].map((fromS) => ({ fromS, withinS: 1.5 })))
    expect(study.takeS).toBe(2)
  })

  it('has two levels that scatter as what is not known of a pluck', () => {
    expect(levelStepDb(strings)).toBe(2.828)
    expect(study.snrsDb).toEqual([-2.828, 2.828])
    const known = strings.map((one) => ({ ...one, ratioErrorDb: 0, ratioSpreadDb: 0 }))
    expect(predictionStudy({ noise, strings: known, methods: choices, seed: 5, pairs: 1 }).study.snrsDb).toEqual([0])
  })

  it('is run in those of its trials in which every string, stretch and level weighs as much as in the whole', () => {
    const own = predictionStudy({ noise, strings, methods: choices, seed: 5, pairs: 2 }).study
    const trials = predictionTrials(own).map((index) => trialAt(own, index))
    expect(trials).toHaveLength(16)
    const counts = new Map<string, number>()
    for (const { string: id, room, snrDb } of trials) {
      const { string: of, number } = drawnOf(id)
      expect(own.snrsDb[number % 2]).toBe(snrDb)
      for (const key of [
        `${of} ${number >> 1} ${snrDb}`,
        `${of} pair ${number >> 2} ${room}`,
        `${of} ${room} ${snrDb}`,
      ]) {
        counts.set(key, (counts.get(key) ?? 0) + 1)
      }
    }
    // 8 drawn strings at 2 levels, 4 pairs in 4 stretches, 2 strings in 4 stretches at 2 levels: once each.
    expect([...counts.values()]).toEqual(Array(48).fill(1))
  })

  it('is refused without strings, methods or enough noise', () => {
    const wish = { noise, strings, methods: choices, seed: 5 }
    expect(() => predictionStudy({ ...wish, strings: [] })).toThrow('no string')
    expect(() => predictionStudy({ ...wish, methods: [] })).toThrow('none')
    const short = { ...noise, samples: noise.samples.subarray(0, 23000) }
    expect(() => predictionStudy({ ...wish, noise: short })).toThrow('2.88 s of noise are below 3 s')
  })
})

describe('what outcomes come to', () => {
  const session = { plucks: 30, seed: 2 }

  it('is what every trial says where all say the same', () => {
    const told = predictionOf(
      strings,
      imagined(study, ({ method }) =>
        method === 'mpm' ? { lockS: 0.4, claimCents: -2 } : { lockS: 0.6, claimCents: 1 },
      ),
      session,
    )
    // 2 strings, 2 drawn of each, 4 stretches, 2 levels.
    expect(told.methods[0].pooled.lockS).toEqual({ value: 0.4, low: 0.4, high: 0.4, n: 32 })
    expect(told.methods[1].pooled.errorCents).toEqual({ value: 1, low: 1, high: 1, n: 32 })
    expect(told.methods[1].strings.map((one) => [one.string, one.lockS.n])).toEqual([
      ['A2', 16],
      ['A2 #2', 16],
    ])
    expect(told.rough).toMatchObject({ method: 'mpm', ties: [] })
    expect(told.fine).toMatchObject({ method: 'partial-fit', ties: [] })
    expect(chosenSentence(told.rough)).toBe(
      'mpm is quickest here to a claim within 5 c: half of the plucks within 0.40 s.',
    )
  })

  it('has a rate that is not never where none was seen', () => {
    const told = predictionOf(
      strings,
      imagined(study, () => ({ lockS: 0.4, claimCents: 1 })),
      session,
    )
    const { value, low, high, n } = told.methods[0].pooled.falseRate
    expect({ value, low, n }).toEqual({ value: 0, low: 0, n: 32 })
    // By summing over a fine grid of rates, Beta(0.5, 32.5) against the binomial of 30: 97.5 % at 3 or fewer.
    const choose = [1, 30, 435, 4060, 27405]
    let [total, reached] = [0, choose.map(() => 0)]
    for (let i = 0; i < 200000; i++) {
      const rate = ((i + 0.5) / 200000) ** 2
      // d rate / d u = 2 sqrt(rate) for rate = u^2 cancels rate^-0.5.
      const weight = (1 - rate) ** 31.5
      total += weight
      reached = reached.map((sum, k) => sum + weight * choose[k] * rate ** k * (1 - rate) ** (30 - k))
    }
    const cumulative = reached.map((_, k) => reached.slice(0, k + 1).reduce((sum, one) => sum + one, 0) / total)
    expect(high * 30).toBeCloseTo(
      cumulative.findIndex((share) => share >= 0.975),
      9,
    )
  })

  it('is open above where half make no claim, and chooses nobody where none does', () => {
    const none = predictionOf(
      strings,
      imagined(study, () => null),
      session,
    )
    expect(none.methods[0].pooled.lockS.value).toBe(Number.POSITIVE_INFINITY)
    expect(none.methods[0].pooled.errorCents).toEqual({ value: Number.NaN, low: Number.NaN, high: Number.NaN, n: 32 })
    expect(none.rough).toEqual({
      method: null,
      ties: [],
      reason: 'No method makes a claim within 5 c in half of the plucks.',
    })
    expect(none.fine.method).toBe(null)
  })

  it('tells who is as good', () => {
    const random = randomStream(3, 'tie')
    const told = predictionOf(
      strings,
      imagined(study, () => ({ lockS: 0.4 + 0.2 * random.uniform(), claimCents: random.gaussian() })),
      session,
    )
    expect(told.rough.ties).toHaveLength(1)
    expect(chosenSentence(told.rough)).toContain('; as good in such a session: ')
  })

  it('draws one usual pluck for a session, as far off the measured one as that may be', () => {
    const falseEnds = (ratioErrorDb: number, ratioSpreadDb: number) => {
      const one = [string('A2', { ratioErrorDb, ratioSpreadDb })]
      const own = predictionStudy({ noise, strings: one, methods: choices, seed: 5, pairs: 1 }).study
      // The softer level is always called wrong.
      const outcomes = imagined(own, ({ snrDb }) => ({ lockS: 0.4, claimCents: snrDb < 0 ? 20 : 1 }))
      return predictionOf(one, outcomes, session).methods[0].pooled.falseRate
    }
    // The usual pluck is known: 30 tosses of a coin, 95 % of them within 10 and 20 (tables of the binomial; Jeffreys' is wider).
    const known = falseEnds(0, 3)
    expect(known.low).toBeLessThanOrEqual(10 / 30)
    expect(known.high).toBeGreaterThanOrEqual(20 / 30)
    // It is all that is not known: a session is mostly louder or mostly softer than the measured pluck.
    const open = falseEnds(3, 0)
    expect(open.high - open.low).toBeGreaterThan(known.high - known.low + 0.2)
  })

  it('is refused of another study or of part of it', () => {
    const all = imagined(study, () => null)
    expect(() => predictionOf(strings, all.slice(1), session)).toThrow('not all of them')
    expect(() => predictionOf([string('E2')], all, session)).toThrow('not those of this prediction')
    expect(() => predictionOf(strings, [], session)).toThrow('not those')
  })

  it('holds what comes as often as it says, where plucks, strings and stretches of noise differ', () => {
    // Logarithms of lock times: strings off by 0.1, stretches by 0.1, plucks by 0.3, 0.03 a dB of level.
    const six = Array.from({ length: 6 }, (_, at) => string(`s${at}`))
    const own = predictionStudy({ noise, strings: six, methods: choices.slice(0, 1), seed: 5, pairs: 1 }).study
    let covered = 0
    const worlds = 30
    for (let world = 0; world < worlds; world++) {
      const random = randomStream(world, 'world')
      const stretchOf = new Map(own.rooms.map(({ id }) => [id, 0.1 * random.gaussian()]))
      const pairOf = new Map(six.map(({ id }) => [id, 0.1 * random.gaussian()]))
      const lock = (log: number) => ({ lockS: Math.exp(log), claimCents: 1 })
      const outcomes = imagined(own, ({ string: id, room, snrDb }) => {
        const pair = (pairOf.get(id.slice(0, 2)) ?? 0) * (drawnOf(id).number < 2 ? 1 : -1)
        return lock(pair + (stretchOf.get(room) ?? 0) - 0.03 * snrDb + 0.3 * random.gaussian())
      })
      const { low, high } = predictionOf(six, outcomes, session).methods[0].pooled.lockS
      const stringsNow = six.map(() => 0.1 * random.gaussian() - 0.03 * 2 * random.gaussian())
      const locks = Array.from({ length: 30 }, (_, at) =>
        Math.exp(stringsNow[at % 6] + 0.1 * random.gaussian() - 0.03 * 2 * random.gaussian() + 0.3 * random.gaussian()),
      ).sort((a, b) => a - b)
      if (locks[14] >= low && locks[14] <= high) covered++
    }
    // 28.5 of 30 wanted, less three deviations of a binomial, 1.2 each.
    expect(covered).toBeGreaterThanOrEqual(25)
  })
})

describe('a string as a pluck showed it', () => {
  it('has the levels and decays that were rendered, within its own errors', () => {
    const [known] = roomStrings(['A2'])
    const made = makeTake({ string: 'A2', room: 'white', snrDb: 20, seed: 11, rateHz: 16000 })
    const figures = noiseFigures(made.noise, made.rateHz, [known])
    const told = predictedString(stringFigures(made.samples, made.rateHz, known, figures), figures, {
      targetHz: known.targetHz,
      stiffness: 0,
    })
    if (told === null) throw new Error('this string stands 20 dB over white noise')
    expect(told.ratioDb).toBeCloseTo(20, 0)
    const trueDb = (k: number): number => {
      const { amplitude, decayPerS } = made.partials[k - 1]
      return 10 * Math.log10((amplitude ** 2 * -Math.expm1(-2 * decayPerS)) / (2 * decayPerS))
    }
    for (const k of [2, 3, 4]) {
      const { levelDb, levelSpreadDb } = told.partials[k - 1]
      const off = levelDb - told.partials[0].levelDb - (trueDb(k) - trueDb(1))
      // Three deviations of both, and half a dB for the taper of the measuring second.
      expect(Math.abs(off)).toBeLessThan(3 * Math.hypot(levelSpreadDb, told.partials[0].levelSpreadDb) + 0.5)
    }
  })

  it('is as open above its told partials as a line through nine of 7 dB scatter leaves it', () => {
    const [known] = roomStrings(['A2'])
    const made = makeTake({ string: 'A2', room: 'white', snrDb: 30, seed: 11, rateHz: 16000 })
    const figures = noiseFigures(made.noise, made.rateHz, [known])
    const told = stringFigures(made.samples, made.rateHz, known, figures)
    const own = predictedString(told, figures, { targetHz: known.targetHz, stiffness: 0 })
    const upper = told.partials.filter(({ k, levelDb }) => k > 1 && levelDb !== null).map(({ k }) => Math.log2(k))
    // Standard errors of a straight line (any handbook of statistics), with a prior of 3 dB an octave on its slope.
    const middle = upper.reduce((sum, x) => sum + x, 0) / upper.length
    const squares = upper.reduce((sum, x) => sum + (x - middle) ** 2, (7 / 3) ** 2)
    const { height, tilt } = own?.partials[19].lineSpreadDb ?? { height: Number.NaN, tilt: Number.NaN }
    expect(height).toBeCloseTo(7 / Math.sqrt(upper.length), 9)
    expect(tilt).toBeCloseTo((7 / Math.sqrt(squares)) * (Math.log2(20) - middle), 9)
    expect(own?.partials[Math.round(2 ** upper[0]) - 1].lineSpreadDb).toEqual({ height: 0, tilt: 0 })
  })

  it('has partial 1 as far off as is usual for its kind where the room hid it', () => {
    const [known] = roomStrings(['A2'])
    const made = makeTake({ string: 'A2', room: 'white', snrDb: 20, seed: 11, rateHz: 16000 })
    const figures = noiseFigures(made.noise, made.rateHz, [known])
    const told = stringFigures(made.samples, made.rateHz, known, figures)
    const hidden = told.partials.map((one) => (one.k === 1 ? { ...one, deviationCents: null } : one))
    const offsets = (kind: 'bass' | 'electric') =>
      predictedString({ ...told, partials: hidden }, figures, { targetHz: known.targetHz, stiffness: 0, kind })
        ?.partials.slice(0, 1)
        .map(({ offsetCents }) => offsetCents)
    // Medians of recorded notes, scene/kinds.ts.
    expect(offsets('bass')).toEqual([-3.4])
    expect(offsets('electric')).toEqual([-1])
  })

  it('is not told where its ratio was not', () => {
    const [known] = roomStrings(['A2'])
    const made = makeTake({ string: 'A2', room: 'white', snrDb: -30, seed: 12, rateHz: 16000 })
    const figures = noiseFigures(made.noise, made.rateHz, [known])
    const told = stringFigures(made.samples, made.rateHz, known, figures)
    expect(predictedString(told, figures, { targetHz: known.targetHz, stiffness: 0 })).toBe(null)
  })
})
