/** What the bench page computes of rooms and instruments before it draws: variants, words, counts without a string. */
import { describe, expect, it } from 'vitest'
import { valueWords, whoseWords } from '../../src/app/assumptions/words.ts'
import { columnsOf, stringWord } from '../../src/app/bench/columns.ts'
import { withoutStringWords } from '../../src/app/bench/withoutString.ts'
import { stringsWords } from '../../src/app/choices/words.ts'
import { madeOf } from '../../src/app/rooms/madeOf.ts'
import { previewScene } from '../../src/app/rooms/preview.ts'
import { withVariants } from '../../src/app/rooms/variants.ts'
import { instrumentById } from '../../src/core/instruments/podium.ts'
import type { Cell } from '../../src/core/score/summary.ts'
import type { Assumption } from '../../src/core/study/assumptions.ts'
import { instrumentStrings } from '../../src/core/study/instrumentstrings.ts'
import { knownRooms, presetStudy, roomById, stringById } from '../../src/core/study/presets.ts'
import type { Study, StudyRoom } from '../../src/core/study/study.ts'

const order = knownRooms.map(({ id }) => id)
const ids = (rooms: readonly StudyRoom[]): string[] => rooms.map(({ id }) => id)
const studyIn = (...rooms: readonly string[]): Study => ({
  ...presetStudy('first'),
  rooms: rooms.map((room) => roomById(room)),
})

describe('variants of a room', () => {
  it('stand behind their room, in one order, whatever was ticked first', () => {
    const rooms = [roomById('white'), roomById('twin-string')]
    const added = withVariants(rooms, roomById('white'), ['wrong-string', 'string', 'no-string'], order)
    expect(ids(added)).toEqual(['white', 'white/no-string', 'white/wrong-string', 'twin-string'])
    expect(added).toEqual(ids(added).map((id) => roomById(id)))
  })

  it('leave with their room, and leave the others alone', () => {
    const rooms = [roomById('white/no-string'), roomById('held-chord')]
    expect(ids(withVariants(rooms, roomById('white'), [], order))).toEqual(['held-chord'])
  })

  it('keep a room that was written out as it is', () => {
    const own: StudyRoom = { ...roomById('white'), sensor: { id: 'microphone', values: {} } }
    expect(withVariants([own], roomById('white'), ['string'], order)[0]).toBe(own)
  })
})

describe('rooms in words', () => {
  it('tell sounds, sensor, body and what rings', () => {
    expect(madeOf(roomById('wings-solid'))).toBe(
      'Made of mains buzz and a band, heard through a magnetic pickup, on a solid body; open strings ring with the room.',
    )
  })

  it('put what differs first in a column', () => {
    const titles = columnsOf(studyIn('white', 'white/no-string'), 'E2').map(({ title }) => title)
    expect(titles).toEqual(['white', 'no string, white'])
  })
})

describe('a preview', () => {
  it('is three seconds, the first without the string, as loud as the room unless the room has levels of its own', () => {
    const study: Study = { ...studyIn('white'), level: 'stage', detuneCents: 50 }
    const scene = previewScene(study, stringById('A2'), roomById('white'))
    expect([scene.durationS, scene.plucks[0]?.onsetS, scene.room?.snrDb]).toEqual([3, 1, 0])
    const quiet = previewScene(study, stringById('A2'), roomById('bench-quiet'))
    // Pink noise at -50 dB and hum at -45 dB are -43.8 dB together.
    expect(quiet.room?.snrDb).toBeCloseTo(43.81, 2)
  })
})

describe('strings in words', () => {
  it('name the instrument once where there is one only', () => {
    const strings = instrumentStrings(instrumentById('ring-rhythm'))
    const study = { ...studyIn('white'), strings }
    expect(stringsWords(study)).toBe('6 strings of ring-rhythm')
    expect(stringWord(study, 'E2 of ring-rhythm')).toBe('E2')
    const mixed = { ...study, strings: [...strings.slice(0, 1), stringById('A2')] }
    expect(stringsWords(mixed)).toBe('E2 of ring-rhythm and A2')
  })
})

describe('an assumption in words', () => {
  const one: Assumption = { group: 'strings', name: 'x', value: -14, unit: 'dB', of: ['E2', 'E4'], source: '' }

  it('has three digits and its unit', () => {
    const say = (value: number | null, unit: Assumption['unit']) => valueWords({ ...one, value, unit })
    expect([say(-14, 'dB'), say(0.0000821848, 'ratio'), say(100, 'Hz'), say(0, 'dB'), say(null, '')]).toEqual([
      '−14 dB',
      '0.0000822',
      '100 Hz',
      '0 dB',
      '',
    ])
  })

  it('says for whom it holds', () => {
    expect(whoseWords(one, studyIn('white'))).toBe('all strings')
    expect(whoseWords({ ...one, of: ['E2'] }, studyIn('white'))).toBe('E2')
    expect(whoseWords({ ...one, group: 'rooms', of: ['white'] }, studyIn('white'))).toBe('white')
  })
})

describe('what rooms that sound the note show without a string', () => {
  const rate = (value: number, n: number) => ({ value, low: 0, high: 1, n })
  const cell = (room: string, method: string, n: number, roomCaused: number, structural = 0): Cell =>
    ({
      ...{ string: 'E2', snrDb: 0, room, method, n, failed: 0 },
      falseRoomRate: rate(roomCaused / n, n),
      falseStructuralRate: rate(structural / n, n),
    }) as unknown as Cell
  const room = 'twin-string/no-string'

  it('counts the claims of blind methods over all cells, with Wilson intervals', () => {
    const cells = [
      cell(room, 'yin', 6, 3),
      { ...cell(room, 'yin', 4, 1, 1), snrDb: 10 },
      cell(room, 'mpm', 10, 10),
      cell(room, 'partial-fit', 10, 10),
      cell('white', 'pitchy', 10, 9),
    ]
    // Wilson 1927 at z = 1.96: 10 of 10 gives 72.2 to 100 %, 5 of 10 gives 23.7 to 76.3 %.
    expect(withoutStringWords(studyIn('white', room), cells)).toEqual([
      'With no string in twin-string, both blind methods claimed falsely: mpm in 10 of 10 trials (72 to 100 %) down to yin in 5 of 10 trials (24 to 76 %).',
    ])
  })

  it('says so when none claimed, and who did when not all', () => {
    expect(withoutStringWords(studyIn(room), [cell(room, 'yin', 8, 0)])).toEqual([
      'With no string in twin-string, the blind method claimed nothing in 8 trials.',
    ])
    expect(withoutStringWords(studyIn(room), [cell(room, 'yin', 8, 0), cell(room, 'mpm', 8, 0)])).toEqual([
      'With no string in twin-string, both blind methods claimed nothing in 8 trials each.',
    ])
    expect(withoutStringWords(studyIn(room), [cell(room, 'yin', 10, 0), cell(room, 'mpm', 10, 5)])[0]).toContain(
      '1 of 2 blind methods claimed falsely: mpm in 5 of 10 trials',
    )
  })

  it('is silent without such cells, and about rooms that do not sound the note', () => {
    expect(withoutStringWords(studyIn(room), [])).toEqual([])
    expect(withoutStringWords(studyIn('white/no-string'), [cell('white/no-string', 'yin', 8, 8)])).toEqual([])
  })
})
