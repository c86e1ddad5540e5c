import { describe, expect, it } from 'vitest'
import { type Fields, fill } from '../../src/core/fields.ts'
import { Problem, problemWithin } from '../../src/core/problem.ts'

const fields: Fields = {
  snrDb: { default: 10, min: -60, max: 120, unit: 'dB', help: '' },
  window: { default: 4096, min: 256, max: 32768, unit: 'samples', whole: true, help: '' },
}

describe('fill', () => {
  it('lays what is given over the defaults', () => {
    expect(fill(fields, {})).toEqual({ snrDb: 10, window: 4096 })
    expect(fill(fields, { snrDb: -60, window: undefined })).toEqual({ snrDb: -60, window: 4096 })
  })

  it.each([
    [{ snrDb: 400 }, 'noises.0.snrDb: 400 is above 120 dB'],
    [{ snrDb: -61 }, 'noises.0.snrDb: -61 is below -60 dB'],
    [{ snrDb: Number.NaN }, 'noises.0.snrDb: NaN is not a number'],
    [{ snrDb: '10' }, 'noises.0.snrDb: "10" is not a number'],
    [{ window: 300.5 }, 'noises.0.window: 300.5 is not a whole number'],
    [{ widow: 1 }, 'noises.0.widow: no such setting; known are snrDb, window'],
    [{ toString: 1 }, 'noises.0.toString: no such setting; known are snrDb, window'],
  ])('refuses %j', (given, sentence) => {
    const tried = (): unknown => fill(fields, given, 'noises.0')
    expect(tried).toThrow(Problem)
    try {
      tried()
    } catch (error) {
      expect((error as Problem).sentence).toBe(sentence)
    }
  })
})

describe('problemWithin', () => {
  it('puts the outer place in front', () => {
    expect(problemWithin('scene.json', new Problem('is missing', 'seed')).sentence).toBe('scene.json.seed: is missing')
    expect(problemWithin('scene.json', new Problem('is no JSON', '')).sentence).toBe('scene.json: is no JSON')
  })
})
