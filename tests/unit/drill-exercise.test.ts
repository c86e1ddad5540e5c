import { describe, expect, it } from 'vitest'
import { drillRoom, parseExercise } from '../../src/core/drill/exercise.ts'
import { exerciseById, exercises } from '../../src/core/drill/exercises.ts'
import { exerciseCode, exerciseOfCode, writtenExercise } from '../../src/core/drill/link.ts'
import { isMastered, passesOf } from '../../src/core/drill/progress.ts'
import { Session } from '../../src/core/drill/session.ts'
import { drillStrings } from '../../src/core/drill/strings.ts'
import { made } from './drillparts.ts'

const written = writtenExercise(made())

describe('an exercise', () => {
  it.each([
    [{ room: 'cellar' }, 'no room "cellar"', 'room'],
    [{ room: 'wings-solid' }, 'needs a sensor', 'room'],
    [{ sets: [{ instrument: 'nobodys', strings: [1] }] }, 'no instrument "nobodys"', 'sets.0.instrument'],
    [{ sets: [{ instrument: 'ring-bass', strings: [5] }] }, '5 is above 4', 'sets.0.strings.0'],
    [{ sets: [{ instrument: 'ring-bass', strings: [2, 2] }] }, 'twice', 'sets.0.strings.1'],
    [{ methods: [{ id: 'nothing', letGoCents: 2 }] }, 'no method "nothing"', 'methods.0.id'],
    [{ methods: [{ id: 'yin', letGoCents: 0.1 }] }, '0.1 is below 0.3 c', 'methods.0.letGoCents'],
    [{ methods: [{ id: 'yin', letGoCents: 4 }] }, 'above the tolerance, 3 c', 'methods.0.letGoCents'],
    [
      { methods: [{ id: 'yin', letGoCents: 2, display: { averagingMs: 5 } }] },
      '5 is below 50 ms',
      'methods.0.display.averagingMs',
    ],
    [{ startFromCents: 30, startToCents: 20 }, 'below startFromCents', 'startToCents'],
    [{ snrDb: 400 }, '400 is above 60 dB', 'snrDb'],
    [{ stages: [{ method: 1, letGoCents: 2, handOver: 'confirm' }] }, '1 is above 0', 'stages.0.method'],
    [{ stages: [{ method: 0, letGoCents: 2, handOver: 'turn-once' }] }, 'the last stage confirms', 'stages.0'],
    [{ colour: 'red' }, 'no such setting: colour', ''],
  ])('is refused with the place of what is wrong: %j', (over, what, where) => {
    expect(() => parseExercise({ ...written, ...over })).toThrow(what)
    try {
      parseExercise({ ...written, ...over })
    } catch (error) {
      expect(error).toMatchObject({ where })
    }
  })

  it('is written without what stands at its default, and read back the same', () => {
    expect(Object.keys(written).sort()).toEqual(['id', 'methods', 'room', 'schema', 'sets', 'task', 'title'])
    for (const exercise of exercises) expect(parseExercise(writtenExercise(exercise))).toEqual(exercise)
  })

  it('travels as a link; a link of another version, cut short or changed is refused', () => {
    for (const exercise of exercises) {
      const code = exerciseCode(exercise)
      expect(code).toMatch(/^1\.[A-Za-z0-9_-]+$/)
      expect(exerciseOfCode(code)).toEqual(exercise)
    }
    const code = exerciseCode(made({ title: 'Sägen, ±3 c' }))
    expect(exerciseOfCode(code).title).toBe('Sägen, ±3 c')
    expect(() => exerciseOfCode(code.replace('1.', '2.'))).toThrow('its version is "2"')
    expect(() => exerciseOfCode('nothing')).toThrow('its version is ""')
    expect(() => exerciseOfCode(code.slice(0, 40))).toThrow('cut short')
    expect(() => exerciseOfCode(`${code}*`)).toThrow('cut short')
    expect(() => exerciseOfCode(`1.${'A'.repeat(70_000)}`)).toThrow('longer')
  })

  it('is encoded as the decoder of Node reads base64url (RFC 4648, section 5), whatever the length', () => {
    for (const title of ['f', 'fo', 'foo', 'foob', 'fooba', 'foobar']) {
      const code = exerciseCode(made({ title })).slice(2)
      expect(JSON.parse(Buffer.from(code, 'base64url').toString('utf8'))).toMatchObject({ title })
    }
  })
})

describe('the progression', () => {
  it('has nine exercises with ids of their own, each found by its id', () => {
    expect(exercises.map(({ id }) => id)).toEqual([
      ...['quiet-fine', 'rough-stop', 'switching', 'noise', 'clock'],
      ...['tone', 'from-flat', 'floating', 'change-over'],
    ])
    for (const exercise of exercises) expect(exerciseById(exercise.id)).toBe(exercise)
    expect(() => exerciseById('ten')).toThrow('known are quiet-fine')
  })

  it('starts every string as far off as it says, on the side it says, the same for the same seed', () => {
    for (const exercise of exercises) {
      const sides = new Set<number>()
      for (let seed = 1; seed <= 20; seed++) {
        const session = new Session(exercise, seed)
        for (const at of session.strings.keys()) {
          const off = session.residualCents(at)
          expect(Math.abs(off)).toBeGreaterThanOrEqual(exercise.startFromCents)
          expect(Math.abs(off)).toBeLessThanOrEqual(exercise.startToCents)
          expect(new Session(exercise, seed).residualCents(at)).toBe(off)
          sides.add(Math.sign(off))
        }
      }
      const wanted = { flat: [-1], sharp: [1], both: [-1, 1] }[exercise.startSide]
      expect([...sides].sort()).toEqual(wanted)
    }
  })

  it('names the strings by their notes, in the order of the work', () => {
    expect(drillStrings(exerciseById('clock')).map(({ title }) => title)).toEqual(['E2', 'A2', 'D3', 'G3', 'B3', 'E4'])
    const [first, , , second] = drillStrings(exerciseById('change-over'))
    expect([first.set, second.set]).toEqual([0, 1])
    expect(drillRoom('stage').parts.length).toBeGreaterThan(0)
  })

  it('goes on at nine of the last ten', () => {
    const nine = Array.from({ length: 9 }, () => true)
    expect(isMastered(nine)).toBe(true)
    expect(isMastered(nine.slice(1))).toBe(false)
    expect(isMastered([false, ...nine])).toBe(true)
    expect(isMastered([...nine, false])).toBe(true)
    expect(isMastered([...nine, false, false])).toBe(false)
    expect(passesOf([true, true, ...nine, false])).toBe(9)
  })
})
