/** What holds for every instrument that can be written down. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { compareSetups, transposed } from '../../src/core/instruments/compare.ts'
import { instrumentFigures } from '../../src/core/instruments/figures.ts'
import {
  capoFields,
  type Instrument,
  type InstrumentField,
  instrumentFields,
  instrumentKinds,
  pegFields,
} from '../../src/core/instruments/instrument.ts'
import { loadMaterials, wrapMaterials } from '../../src/core/instruments/materials.ts'
import { instrumentsJson, parseInstrument, parseInstruments } from '../../src/core/instruments/parse.ts'
import { stringPluck } from '../../src/core/instruments/pluck.ts'
import { alarmShare, minimumStrength } from '../../src/core/instruments/strength.ts'
import { centsBetween, noteName } from '../../src/core/maths/units.ts'

/** Fixed, and printed by fast-check when something fails. */
const runs = { seed: 20250307, numRuns: 150 }

const within = ({ min, max, whole }: InstrumentField): fc.Arbitrary<number> =>
  // JSON.stringify writes -0 as 0: adding 0 makes it one before.
  whole ? fc.integer({ min, max }) : fc.double({ min, max, noNaN: true }).map((value) => value + 0)
const optional = <T>(arbitrary: fc.Arbitrary<T>): fc.Arbitrary<T | undefined> =>
  fc.option(arbitrary, { nil: undefined })

const gauge = fc.record({
  diameterIn: fc.double({ min: 0.006, max: 0.2, noNaN: true }),
  coreShare: fc.option(fc.double({ min: 0.5, max: 0.95, noNaN: true }), { nil: null }),
})
/** Notes of B0 to G4, so that a capo at the 24th fret is still below the limit. */
const note = fc.integer({ min: 23, max: 67 }).map((midi) => noteName(440 * 2 ** ((midi - 69) / 12)))

const instruments: fc.Arbitrary<Instrument> = fc
  .record({
    kind: fc.constantFrom(...instrumentKinds),
    player: fc.string(),
    notes: fc.string(),
    scaleMm: within(instrumentFields.scaleMm),
    referenceHz: within(instrumentFields.referenceHz),
    toleranceCents: within(instrumentFields.toleranceCents),
    strings: fc.array(fc.tuple(gauge, note), { minLength: 1, maxLength: 10 }),
    plain: fc.constantFrom(...loadMaterials.map(({ id }) => id)),
    core: fc.constantFrom(...loadMaterials.map(({ id }) => id)),
    wrap: fc.constantFrom(...wrapMaterials.map(({ id }) => id)),
    capo: fc.option(
      fc.record({
        fret: within(capoFields.fret),
        shiftCents: within(capoFields.shiftCents),
        tuned: fc.constantFrom('capo-on', 'capo-off'),
      }),
      { nil: null },
    ),
    ratio: optional(within(pegFields.ratio)),
    postMm: optional(within(pegFields.postMm)),
    beyondMm: optional(within(pegFields.beyondMm)),
  })
  .map(({ strings, plain, core, wrap, ratio, postMm, beyondMm, ...rest }) =>
    parseInstrument({
      id: 'any',
      ...rest,
      gauges: {
        materials: { plain, core, wrap },
        strings: strings.map(([{ diameterIn, coreShare }]) =>
          coreShare === null ? { diameterIn } : { diameterIn, coreIn: diameterIn * coreShare },
        ),
      },
      tuning: strings.map(([, name]) => name),
      peg: { ratio, postMm, beyondMm },
    }),
  )

/** Quotients of a dozen products of doubles: far above their rounding, far below any effect. */
const digits = 9

describe('every instrument', () => {
  it('survives being saved and loaded', () => {
    fc.assert(
      fc.property(instruments, (instrument) => {
        expect(parseInstruments(JSON.parse(JSON.stringify(instrumentsJson([instrument]))))).toEqual([instrument])
      }),
      runs,
    )
  })

  it('has finite figures, an alarm exactly from 65 % on, and words for every estimate', () => {
    fc.assert(
      fc.property(instruments, (instrument) => {
        const { strings, totalPullN, alarms, assumptions } = instrumentFigures(instrument)
        for (const string of strings) {
          for (const figure of [
            string.massKgPerM,
            string.tensionN,
            string.stressMpa,
            string.stiffness,
            string.axialRatio,
          ]) {
            expect(figure.value).toBeGreaterThan(0)
            expect(figure.value).toBeLessThan(Number.POSITIVE_INFINITY)
            expect(figure.status).toBe(figure.assumes.length === 0 ? 'computed' : 'estimate')
            expect(assumptions).toEqual(expect.arrayContaining([...figure.assumes]))
          }
          expect(string.centsPerDegree.value).toBeGreaterThan(0)
          expect(string.centsPerKelvin.value).toBeLessThan(0)
          expect(string.alarm !== null).toBe(string.strengthShare.value >= alarmShare)
          if (string.alarm !== null) expect(string.semitonesToAlarm.value).toBeLessThanOrEqual(1e-9)
          if (Number.isNaN(string.strengthShare.value))
            expect(string.strengthShare.assumes.join()).toContain('not known')
        }
        expect(alarms).toHaveLength(strings.filter((string) => string.alarm !== null).length)
        expect(totalPullN.value).toBeGreaterThanOrEqual(Math.max(...strings.map((string) => string.tensionN.value)))
      }),
      runs,
    )
  })

  it('a wound string weighs between pi/4 of a solid one and a solid one of the heavier metal', () => {
    fc.assert(
      fc.property(instruments, (instrument) => {
        if (typeof instrument.gauges === 'string') return
        const { materials, strings: gauges } = instrument.gauges
        const density = (list: readonly { id: string; densityKgPerM3: number }[], id: string): number =>
          list.find((entry) => entry.id === id)?.densityKgPerM3 ?? Number.NaN
        const metals = [density(loadMaterials, materials.core), density(wrapMaterials, materials.wrap)]
        instrumentFigures(instrument).strings.forEach(({ massKgPerM }, index) => {
          const { diameterIn, coreIn } = gauges[index]
          if (coreIn === undefined) return
          const areaM2 = (Math.PI / 4) * (diameterIn * 0.0254) ** 2
          expect(massKgPerM.value).toBeGreaterThan(Math.min(...metals) * areaM2 * (Math.PI / 4))
          expect(massKgPerM.value).toBeLessThan(Math.max(...metals) * areaM2)
        })
      }),
      runs,
    )
  })

  it('a capo sharpens open against fretted alike, whichever of them was tuned', () => {
    fc.assert(
      fc.property(instruments, ({ capo, ...rest }) => {
        if (capo === null) return
        for (const tuned of ['capo-on', 'capo-off'] as const) {
          const instrument = { ...rest, capo: { ...capo, tuned } }
          instrumentFigures(instrument).strings.forEach((string, index) => {
            const cents = centsBetween(string.capoHz ?? Number.NaN, string.openHz)
            // 1e-6 c: rounding of 2^x and of the logarithm that takes it back.
            expect(Math.abs(cents - 100 * capo.fret - (capo.shiftCents ?? Number.NaN))).toBeLessThan(1e-6)
            expect([string.openHz, string.capoHz]).toContain(stringPluck(instrument, index).targetHz)
          })
        }
      }),
      runs,
    )
  })

  it('moved by n semitones pulls 2^(n/6) as much, and its stress, stiffness and peg follow', () => {
    fc.assert(
      fc.property(instruments, fc.integer({ min: -5, max: 5 }), (instrument, semitones) => {
        const { strings, totalPullN } = compareSetups(instrument, transposed(instrument, semitones))
        const ratio = 2 ** (semitones / 6)
        expect(1 + totalPullN.percent.value / 100).toBeCloseTo(ratio, digits)
        for (const { changes } of strings) {
          for (const name of ['tensionN', 'stressMpa'] as const)
            expect(1 + (changes?.[name].percent.value ?? Number.NaN) / 100).toBeCloseTo(ratio, digits)
          for (const name of ['stiffness', 'axialRatio', 'centsPerDegree', 'centsPerKelvin'] as const)
            expect(1 + (changes?.[name].percent.value ?? Number.NaN) / 100).toBeCloseTo(1 / ratio, digits)
          expect(changes?.massKgPerM.difference.value).toBe(0)
        }
      }),
      runs,
    )
  })

  it('compared with itself has not changed', () => {
    fc.assert(
      fc.property(instruments, (instrument) => {
        const { strings, totalPullN, newAlarms } = compareSetups(instrument, instrument)
        expect(totalPullN.difference.value).toBe(0)
        expect(newAlarms).toEqual([])
        for (const { changes } of strings) {
          for (const { difference } of Object.values(changes ?? {}))
            expect(difference.value === 0 || Number.isNaN(difference.value)).toBe(true)
        }
      }),
      runs,
    )
  })
})

describe('strength of music wire', () => {
  it('falls with diameter, also where the table ends and the fit begins', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.0041, max: 0.23, noNaN: true }),
        fc.double({ min: 1.0001, max: 1.5, noNaN: true }),
        (inches, factor) => {
          const thin = minimumStrength(inches * 0.0254).value
          const thick = minimumStrength(inches * factor * 0.0254).value
          if (!Number.isNaN(thick)) expect(thick).toBeLessThan(thin)
        },
      ),
      runs,
    )
  })
})
