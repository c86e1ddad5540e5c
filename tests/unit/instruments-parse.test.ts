/** Instruments from JSON: what is filled in, and the sentence for what is wrong. */
import { describe, expect, it } from 'vitest'
import { instrumentsJson, parseInstrument, parseInstruments } from '../../src/core/instruments/parse.ts'
import { knownInstruments } from '../../src/core/instruments/podium.ts'
import { Problem } from '../../src/core/problem.ts'

const good = { id: 'mine', kind: 'electric', gauges: '10-46', tuning: 'standard' }
const own = { materials: { plain: 'music-wire', core: 'music-wire', wrap: 'nickel' }, strings: [{ diameterIn: 0.01 }] }

function sentenceOf(read: () => unknown): string {
  try {
    read()
  } catch (error) {
    if (error instanceof Problem) return error.sentence
    throw error
  }
  return 'no problem'
}

describe('an instrument', () => {
  it('fills what is left out', () => {
    expect(parseInstrument(good)).toEqual({
      ...good,
      title: 'mine',
      player: '',
      scaleMm: 648,
      referenceHz: 440,
      capo: null,
      toleranceCents: 3,
      peg: {},
      notes: '',
    })
    expect(parseInstrument({ id: 'b', kind: 'bass', gauges: 'bass-45-105', tuning: 'bass' })).toMatchObject({
      scaleMm: 864,
      toleranceCents: 5,
    })
  })

  it('keeps free text as it is', () => {
    const text = { player: 'Zoë, 2nd; plays “left-handed”', notes: '<b>none</b>\n' }
    expect(parseInstrument({ ...good, ...text })).toMatchObject(text)
  })

  it.each([
    [{ referenceHz: 399 }, 'referenceHz: 399 is below 400 Hz'],
    [{ referenceHz: 481 }, 'referenceHz: 481 is above 480 Hz'],
    [{ scaleMm: 30 }, 'scaleMm: 30 is below 300 mm'],
    [{ toleranceCents: 0 }, 'toleranceCents: 0 is below 0.1 c'],
    [{ scaleMm: '648' }, 'scaleMm: is not of type number'],
    [{ player: 7 }, 'player: is not of type string'],
    [{ string: 6 }, 'no such setting: string'],
    [{ id: 'My Guitar' }, 'id: takes small letters, digits and single hyphens'],
    [{ kind: 'lute' }, 'kind: is none of acoustic, nylon, electric, bass'],
    [{ gauges: '10-47' }, /^gauges: no gauges "10-47"; known are 9-42, 10-46, /],
    [{ tuning: 'odd' }, /^tuning: no tuning "odd"; known are standard, /],
    [{ tuning: 'bass' }, 'tuning: 4 notes do not fit 6 strings'],
    [{ tuning: ['E4', 'B3', 'G3', 'D3', 'A2', 'H2'] }, 'tuning.5: "H2" is no note such as E2, Bb1 or F#3'],
    [{ tuning: ['E4', 'B3', 'G3', 'D3', 'A2', 'C-1'] }, /^tuning.5: 8\.17\S* is below 15 Hz$/],
    [{ capo: { fret: 2.5, tuned: 'capo-on' } }, 'capo.fret: 2.5 is not a whole number'],
    [{ capo: { fret: 2 } }, /^capo.tuned: /],
    [{ capo: { fret: 2, tuned: 'capo-on', shiftCents: 90 } }, 'capo.shiftCents: 90 is above 40 c'],
    [{ peg: { ratio: 0 } }, 'peg.ratio: 0 is below 1'],
    [{ peg: { posts: 6 } }, 'peg: no such setting: posts'],
    [
      { gauges: { ...own, strings: [{ diameterIn: 0.01, coreIn: 0.01 }] }, tuning: ['E4'] },
      'gauges.strings.0.coreIn: a core of 0.01 in leaves no wrap on a string of 0.01 in',
    ],
    [
      { gauges: { ...own, strings: [{ diameterIn: 46 }] }, tuning: ['E4'] },
      'gauges.strings.0.diameterIn: 46 is above 0.25 in',
    ],
    [
      { gauges: { ...own, materials: { ...own.materials, plain: 'gut' } }, tuning: ['E4'] },
      /^gauges.materials.plain: no such material "gut"; known are music-wire, /,
    ],
  ])('%j is refused by name', (change, sentence) => {
    const said = sentenceOf(() => parseInstrument({ ...good, ...change }))
    if (typeof sentence === 'string') expect(said).toBe(sentence)
    else expect(said).toMatch(sentence)
  })

  it('checks unused materials too', () => {
    const gauges = { ...own, materials: { ...own.materials, wrap: 'wool' } }
    expect(sentenceOf(() => parseInstrument({ ...good, gauges, tuning: ['E4'] }))).toMatch(
      /^gauges.materials.wrap: no such material "wool"/,
    )
  })
})

describe('a file of instruments', () => {
  it('comes back as it went out', () => {
    const text = JSON.stringify(instrumentsJson(knownInstruments))
    expect(parseInstruments(JSON.parse(text))).toEqual(knownInstruments)
  })

  it.each([
    [null, /./],
    [{ schema: 2, instruments: [] }, /^schema: /],
    [{ schema: 1, instruments: [good, good] }, 'instruments.1.id: the id "mine" stands twice'],
    [{ schema: 1, instruments: [good, { ...good, id: 'b', scaleMm: 9 }] }, 'instruments.1.scaleMm: 9 is below 300 mm'],
    [{ schema: 1, instruments: [{ ...good, kind: 1 }] }, /^instruments.0.kind: /],
    [{ schema: 1, instruments: [], extra: 1 }, 'no such setting: extra'],
  ])('%j is refused by path', (json, sentence) => {
    const said = sentenceOf(() => parseInstruments(json))
    expect(said).not.toBe('no problem')
    if (typeof sentence === 'string') expect(said).toBe(sentence)
    else expect(said).toMatch(sentence)
  })
})
