/** Fixed stage: what equal pluck force makes of a string's ratio, by hand. */
import { describe, expect, it } from 'vitest'
import { dbFromPowerRatio } from '../../src/core/maths/units.ts'
import { parseScene, sceneJson } from '../../src/core/scene/parse.ts'
import { meanSquareOfFirstSecond, render } from '../../src/core/scene/render.ts'
import { parseStudy } from '../../src/core/study/parse.ts'
import { referenceOf, stageOffsetDb } from '../../src/core/study/stage.ts'
import type { Study } from '../../src/core/study/study.ts'
import { openStudy } from '../../src/core/study/trial.ts'

const studyOf = (strings: readonly unknown[], more: object = {}): Study =>
  parseStudy({
    ...{ strings, rooms: ['white'], snrsDb: [6], repeats: 1, takeS: 1.6, methods: ['yin'], level: 'stage' },
    ...more,
  })

const string = (id: string, targetHz: number, pluck: object) => ({ id, targetHz, pluck })

function offsetsOf(study: Study): number[] {
  return study.strings.map((each) => stageOffsetDb(study, each))
}

describe('the ratio of a string plucked as hard as the reference', () => {
  it('follows the pick: power goes with p (1 - p) where nothing fades', () => {
    const study = studyOf([string('a', 110, { pickRatio: 0.5 }), string('b', 110, { pickRatio: 0.25 })], {
      referenceString: 'a',
    })
    // Sum of sin^2(pi k p) / k^2 = pi^2 p (1 - p) / 2: 0.1875 over 0.25, -1.249 dB. 196 of the partials fit under 0.45 of the
    // rate; the others hold 1 / 392 of 0.925: 0.012 dB.
    expect(offsetsOf(study)[0]).toBe(0)
    expect(Math.abs((offsetsOf(study)[1] ?? 0) + 1.249)).toBeLessThan(0.012)
  })

  it('does not depend on tension or mass: strings that differ in pitch only stand alike', () => {
    const study = studyOf([string('a', 82.4, { pickRatio: 0.2 }), string('b', 164.8, { pickRatio: 0.2 })])
    // 262 and 131 partials: the tails hold 1 / 524 and 1 / 262 of 0.79, 0.01 dB apart.
    expect(Math.abs(offsetsOf(study)[0] ?? 1)).toBeLessThan(0.02)
  })

  it('follows the decay: a lone partial that falls by 60 dB in 3 s against one that does not fall', () => {
    // At 8 kHz only the first partial of 2 kHz fits. Mean of exp(-4.605 t) over 1 s: (1 - 0.01) / 4.605 = 0.2150, -6.676 dB.
    const study = studyOf([string('a', 2000, {}), string('b', 2000, { decayS: 3 })], {
      ...{ sampleRateHz: 8000, highestHz: 3000, referenceString: 'a' },
    })
    expect(offsetsOf(study)[1]).toBeCloseTo(-6.676, 2)
  })

  it('does not see how loud the take is', () => {
    const study = studyOf([string('a', 110, {}), string('b', 110, { levelDbfs: -14 })], { referenceString: 'a' })
    expect(offsetsOf(study)[1]).toBeCloseTo(0, 3)
  })

  it('is the study ratio at a fixed ratio', () => {
    const study = studyOf(['E2', 'A2', 'E4'], { level: 'ratio' })
    expect(offsetsOf(study)).toEqual([0, 0, 0])
  })
})

describe('the reference string', () => {
  it('is the third lowest unless it is named', () => {
    expect(referenceOf(studyOf(['E4', 'A2', 'E2', 'G3'])).id).toBe('G3')
    expect(referenceOf(studyOf(['E4', 'E2'])).id).toBe('E4')
    expect(referenceOf(studyOf(['E4', 'A2', 'E2', 'G3'], { referenceString: 'A2' })).id).toBe('A2')
  })

  it('must be one of the study', () => {
    expect(() => studyOf(['E2'], { referenceString: 'A2' })).toThrow('no string "A2" in this study; it has E2')
  })

  it('cannot stand against recorded strings', () => {
    const recorded = { id: 'r', targetHz: 110, recording: 'some' }
    expect(() => studyOf(['E2', recorded])).toThrow('is recorded')
  })
})

describe('a trial of a fixed stage', () => {
  const study = studyOf(['E2', 'A2', 'D3', 'E4'])
  const open = openStudy(study, new Map())

  it.each([0, 2, 3])('has its ratio in the scene, which replays alone: trial %i', (index) => {
    const { scene, rendered, levels } = open.replay(index)
    const string = study.strings[index]
    const wanted = 6 + (string === undefined ? Number.NaN : stageOffsetDb(study, string))
    expect(scene.room?.snrDb).toBe(wanted)
    const again = render(parseScene(JSON.parse(JSON.stringify(sceneJson(scene)))), new Map())
    expect(again.take.samples.every((value, i) => value === rendered.take.samples[i])).toBe(true)
    const [clean, noise] = [rendered.clean, rendered.noise].map((side) => meanSquareOfFirstSecond(side, scene))
    expect(Math.abs(dbFromPowerRatio((clean ?? 0) / (noise ?? 0)) - wanted)).toBeLessThan(0.01)
    // Rounded to a hundredth on top of it.
    expect(Math.abs(levels.ratioDb - wanted)).toBeLessThan(0.015)
  })

  it('leaves the reference at the ratio of the study, and the trial its name', () => {
    expect(open.replay(2).scene.room?.snrDb).toBe(6)
    expect(open.trialAt(0).snrDb).toBe(6)
  })
})
