/** Figures of instruments, worked by hand on round numbers. */
import { describe, expect, it } from 'vitest'
import { capoPitches } from '../../src/core/instruments/capo.ts'
import { compareSetups, transposed, withGauges } from '../../src/core/instruments/compare.ts'
import { instrumentFigures } from '../../src/core/instruments/figures.ts'
import { loadMaterialById, wrapMaterialById } from '../../src/core/instruments/materials.ts'
import { parseInstrument } from '../../src/core/instruments/parse.ts'
import { centsPerDegree } from '../../src/core/instruments/peg.ts'
import { stringPluck } from '../../src/core/instruments/pluck.ts'
import { instrumentById, knownInstruments } from '../../src/core/instruments/podium.ts'
import { stiffness, stiffnessAtFret } from '../../src/core/instruments/stiffness.ts'
import { alarmShare, minimumStrength, semitonesToAlarm } from '../../src/core/instruments/strength.ts'
import { massPerLength, type StringMake } from '../../src/core/instruments/stringmake.ts'
import { frequencyAtTensionHz, tensionN } from '../../src/core/instruments/tension.ts'
import { centsPerKelvin } from '../../src/core/instruments/thermal.ts'
import { centsBetween } from '../../src/core/maths/units.ts'

const steel = loadMaterialById('music-wire', '')
const bronze = wrapMaterialById('phosphor-bronze', '')
/** A millimetre of steel wire: A = pi/4 mm2. */
const millimetre: StringMake = { diameterM: 1e-3, core: null, load: steel }
/** A 1 mm core under 1 mm wire. */
const wound: StringMake = { diameterM: 3e-3, core: { diameterM: 1e-3, wrap: bronze }, load: steel }

const electric = parseInstrument({ id: 'e', kind: 'electric', gauges: '10-46', tuning: 'standard' })
const figuresOf = (changes: object) =>
  instrumentFigures(parseInstrument({ id: 'e', kind: 'electric', gauges: '10-46', tuning: 'standard', ...changes }))

describe('one string', () => {
  it('weighs what its metal weighs', () => {
    // 7850 kg/m3 times pi/4 mm2.
    expect(massPerLength(millimetre)).toEqual({ value: (7850e-6 * Math.PI) / 4, status: 'computed', assumes: [] })
  })

  it('carries a wrap whose turns fill pi/4 of their ring', () => {
    const ringM2 = (Math.PI / 4) * (3e-3 ** 2 - 1e-3 ** 2)
    const { value, status } = massPerLength(wound)
    expect(value).toBeCloseTo((7850e-6 * Math.PI) / 4 + 8860 * ringM2 * (Math.PI / 4), 15)
    expect(status).toBe('estimate')
  })

  it('pulls 4 mu L^2 f^2, and back', () => {
    // 1 g/m, half a metre, 100 Hz: 4 * 0.001 * 0.25 * 10000.
    expect(tensionN(1e-3, 0.5, 100)).toBeCloseTo(10, 12)
    expect(frequencyAtTensionHz(1e-3, 0.5, 10)).toBeCloseTo(100, 12)
  })

  it('is as stiff as what bends: the core of a wound one', () => {
    // Modulus over 0.033 in is 200 GPa. pi^3 * 200e9 * 1e-12 / (64 * 100 * 1) = pi^3 / 32000.
    expect(stiffness(millimetre, 100, 1)).toBeCloseTo(Math.PI ** 3 / 32000, 15)
    expect(stiffness(wound, 100, 1)).toBe(stiffness(millimetre, 100, 1))
    expect(stiffnessAtFret(1e-5, 6)).toBeCloseTo(2e-5, 18)
    expect(stiffnessAtFret(1e-5, 12)).toBeCloseTo(4e-5, 18)
  })

  it('answers the peg as the derivative of its own pitch says', () => {
    const peg = { ratio: 10, postMm: 8, beyondMm: 100 }
    const pitch = (degrees: number): number => {
      const woundM = ((degrees / 360) * Math.PI * 8e-3) / 10
      return frequencyAtTensionHz(1e-3, 0.9, 100 + (200e9 * (Math.PI / 4) * 1e-6 * woundM) / 1)
    }
    // Centred difference over 0.02 degrees: its error is of the order of (1e-2 c)^2 of the slope, far under 1e-6.
    const slope = centsBetween(pitch(0.01), pitch(-0.01)) / 0.02
    expect(centsPerDegree(millimetre, 100, 900, peg) / slope).toBeCloseTo(1, 6)
  })

  it('falls with warmth as the derivative of its own pitch says', () => {
    const pitch = (kelvin: number): number =>
      frequencyAtTensionHz(1e-3, 0.9, 100 - 200e9 * (Math.PI / 4) * 1e-6 * 12e-6 * kelvin)
    const slope = centsBetween(pitch(0.001), pitch(-0.001)) / 0.002
    expect(slope).toBeLessThan(0)
    expect(centsPerKelvin(millimetre, 100) / slope).toBeCloseTo(1, 6)
  })
})

describe('strength', () => {
  const inch = 0.0254
  it('joins the rows of the table by a power law and goes on by the fit', () => {
    // 0.017 is close to the geometric middle of 0.016 and 0.018, so near sqrt(362 * 356).
    expect(minimumStrength(0.017 * inch).value / (6.894757293e6 * Math.sqrt(362 * 356))).toBeCloseTo(1, 3)
    expect(minimumStrength(0.017 * inch).status).toBe('computed')
    expect(minimumStrength(1e-3)).toMatchObject({ value: 2153.5e6, status: 'estimate' })
  })

  it('says nothing where no table holds', () => {
    expect(minimumStrength(0.003 * inch).value).toBeNaN()
    expect(minimumStrength(7e-3).value).toBeNaN()
  })

  it('counts semitones to the alarm', () => {
    expect(semitonesToAlarm(alarmShare)).toBe(0)
    // An octave is four times the tension.
    expect(semitonesToAlarm(alarmShare / 4)).toBeCloseTo(12, 12)
    expect(semitonesToAlarm(alarmShare * 4)).toBeCloseTo(-12, 12)
  })
})

describe('capo', () => {
  it('tuned with the capo on, the fretted note is right and the open string flat', () => {
    const pitches = capoPitches(100, { fret: 12, shiftCents: 10, tuned: 'capo-on' })
    expect(pitches.targetHz).toBeCloseTo(200, 9)
    expect(pitches.capoHz).toBeCloseTo(200, 9)
    expect(pitches.fret).toBe(12)
    expect(centsBetween(pitches.openHz, 100)).toBeCloseTo(-10, 9)
  })

  it('tuned with the capo off, the open string is right and the fretted note sharp', () => {
    const pitches = capoPitches(100, { fret: 12, shiftCents: 10, tuned: 'capo-off' })
    expect(pitches).toMatchObject({ targetHz: 100, openHz: 100, fret: 0 })
    expect(centsBetween(pitches.capoHz ?? Number.NaN, 200)).toBeCloseTo(10, 9)
  })

  it('says that it assumed the shift, unless it was told', () => {
    const shift = (capo: object) => figuresOf({ capo }).strings[0].capoShiftCents
    expect(shift({ fret: 2, tuned: 'capo-on' })).toMatchObject({ value: 5, status: 'estimate' })
    expect(shift({ fret: 2, tuned: 'capo-on', shiftCents: 4 })).toEqual({ value: 4, status: 'computed', assumes: [] })
  })
})

describe('instrument', () => {
  it('sums its strings', () => {
    const { strings, totalPullN } = instrumentFigures(electric)
    expect(strings.map((string) => string.note)).toEqual(['E4', 'B3', 'G3', 'D3', 'A2', 'E2'])
    expect(totalPullN.value).toBeCloseTo(
      strings.reduce((sum, string) => sum + string.tensionN.value, 0),
      9,
    )
    expect(totalPullN.status).toBe('estimate')
  })

  it('marks as estimate what it assumed, and only that', () => {
    const { strings, assumptions } = instrumentFigures(electric)
    const [plain, woundOne] = [strings[0], strings[5]]
    for (const name of ['massKgPerM', 'tensionN', 'strengthShare', 'stiffness', 'axialRatio'] as const) {
      expect(plain[name].status, name).toBe('computed')
      expect(woundOne[name].status, name).toBe('estimate')
    }
    for (const name of ['centsPerDegree', 'centsPerKelvin'] as const) expect(plain[name].status, name).toBe('estimate')
    expect(assumptions.join('\n')).toMatch(/16:1[\s\S]*6 mm[\s\S]*102 mm/)
    const told = figuresOf({ peg: { ratio: 18, postMm: 5, beyondMm: 90 } })
    expect(told.assumptions.join('\n')).not.toMatch(/18:1|16:1|post of|beyond/)
    expect(new Set(assumptions).size).toBe(assumptions.length)
  })

  it('moves with the reference pitch: 442 Hz is (442/440)^2 of the pull', () => {
    expect(figuresOf({ referenceHz: 442 }).totalPullN.value / instrumentFigures(electric).totalPullN.value).toBeCloseTo(
      (442 / 440) ** 2,
      12,
    )
  })

  it('raises an alarm for a first string wound up past 65 % of its strength', () => {
    expect(instrumentFigures(electric).alarms).toEqual([])
    const { alarms, strings } = instrumentFigures(instrumentById('ring-long'))
    expect(alarms).toEqual([
      'String 1 (F4) stands at 68 % of the least strength of its wire: from 65 % on it may stretch for good or break. Mind your eyes.',
    ])
    expect(strings[0].semitonesToAlarm.value).toBeLessThan(0)
    // An octave up is four times 54 %.
    expect(instrumentFigures(transposed(electric, 12)).alarms[0]).toContain('expect it to break')
  })

  it('knows no strength of nylon and says so', () => {
    const { strings, alarms } = instrumentFigures(instrumentById('tightrope-nylon'))
    for (const string of strings) {
      expect(string.strengthShare.value).toBeNaN()
      expect(string.strengthShare.assumes.join()).toContain('not known')
      expect(string.tensionN.status).toBe('estimate')
    }
    expect(alarms).toEqual([])
  })

  it('says what every instrument of the demo is: invented, and somebody’s', () => {
    expect(knownInstruments.length).toBeGreaterThanOrEqual(12)
    for (const { player } of knownInstruments) expect(player).toMatch(/\(invented\)$/)
    expect(new Set(knownInstruments.map(({ player }) => player)).size).toBeGreaterThanOrEqual(5)
    expect(new Set(knownInstruments.map(({ kind }) => kind)).size).toBe(4)
  })
})

describe('comparison', () => {
  it('tells what half a step down does', () => {
    const { strings, totalPullN } = compareSetups(electric, transposed(electric, -1))
    // 2^(-1/6) - 1 and 2^(1/6) - 1.
    expect(totalPullN.percent.value).toBeCloseTo(-10.9101, 3)
    for (const { changes } of strings) {
      expect(changes?.tensionN.percent.value).toBeCloseTo(-10.9101, 3)
      expect(changes?.centsPerDegree.percent.value).toBeCloseTo(12.2462, 3)
      expect(changes?.stiffness.percent.value).toBeCloseTo(12.2462, 3)
    }
  })

  it('tells what heavier gauges do, plain strings by the square of the diameter', () => {
    const acoustic = parseInstrument({ id: 'a', kind: 'acoustic', gauges: '11-52', tuning: 'standard' })
    const { strings, totalPullN, newAlarms } = compareSetups(acoustic, withGauges(acoustic, '12-53'))
    expect(strings[0].changes?.tensionN.percent.value).toBeCloseTo(100 * ((12 / 11) ** 2 - 1), 9)
    expect(strings[0].changes?.stressMpa.percent.value).toBeCloseTo(0, 9)
    expect(totalPullN.difference.value).toBeGreaterThan(0)
    expect(newAlarms).toEqual([])
  })

  it('puts strings that one side lacks beside nothing', () => {
    const { strings } = compareSetups(instrumentById('ring-bass'), instrumentById('ring-bass-five'))
    expect(strings).toHaveLength(5)
    expect(strings[4]).toMatchObject({ number: 5, from: null, changes: null })
    expect(strings[4].to?.note).toBe('B0')
  })

  it('names alarms that the change brings', () => {
    const { newAlarms } = compareSetups(electric, transposed(electric, 3))
    expect(newAlarms).toHaveLength(1)
    expect(newAlarms[0]).toContain('String 1 (G4)')
    expect(compareSetups(transposed(electric, 3), transposed(electric, 3)).newAlarms).toEqual([])
  })
})

describe('string for a study', () => {
  it('is told its note, kind and stiffness', () => {
    const { strings } = instrumentFigures(electric)
    expect(stringPluck(electric, 5)).toEqual({
      id: 'e-6',
      title: 'e, string 6 (E2)',
      kind: 'electric',
      targetHz: strings[5].openHz,
      pluck: { stiffness: strings[5].stiffness.value },
      status: 'estimate',
      fret: 0,
      toleranceCents: 3,
    })
  })

  it('is tuned at the capo by a player who tunes with it on', () => {
    const capoed = { ...electric, capo: { fret: 6, shiftCents: 0, tuned: 'capo-on' } as const }
    const [open, fretted] = [stringPluck(electric, 0), stringPluck(capoed, 0)]
    expect(centsBetween(fretted.targetHz, open.targetHz)).toBeCloseTo(600, 9)
    expect(fretted.pluck.stiffness / open.pluck.stiffness).toBeCloseTo(2, 9)
    expect(fretted.title).toContain('capo at 6')
  })

  it('must exist', () => {
    expect(() => stringPluck(electric, 6)).toThrow('no string 7; there are 6')
  })
})
