/**
 * The studies' strings stand at their published pitches and inside what pluck settings allow.
 */
import { describe, expect, it } from 'vitest'
import index from '../../signals/recordings/index.json'
import { strings } from '../../signals/strings.json'
import { fill } from '../../src/core/fields.ts'
import { pluckFields } from '../../src/core/scene/scene.ts'

const byId = new Map(strings.map((string) => [string.id, string]))

describe('strings of the studies', () => {
  // Open strings of a guitar in equal temperament: lucabaldini/metalute, docs/tables/gauge_extra_super_light.rst; it
  // prints them in Hz with three decimals. Bass: two or three octaves down of the same notes, by arithmetic.
  it.each([
    ['E2', 82.407],
    ['A2', 110.0],
    ['D3', 146.832],
    ['G3', 195.998],
    ['B3', 246.942],
    ['E4', 329.628],
  ])('%s stands at %d Hz', (id, hz) => {
    // Half a unit of the last printed digit.
    expect(Math.abs((byId.get(id)?.targetHz ?? Number.NaN) - hz)).toBeLessThanOrEqual(0.0005)
  })

  it.each([
    ['E1', 'E2', 2],
    ['A1', 'A2', 2],
    ['D2', 'D3', 2],
    ['G2', 'G3', 2],
    ['B0', 'B3', 8],
  ])('%s stands whole octaves under %s', (low, high, ratio) => {
    const targetHz = (id: string): number => byId.get(id)?.targetHz ?? Number.NaN
    // Both are rounded to 1e-9 Hz.
    expect(Math.abs(targetHz(low) * ratio - targetHz(high))).toBeLessThan(1e-8)
  })

  it.each(strings)('$id: the pluck is a legal one and every key of it has a source', (string) => {
    expect(fill(pluckFields, { ...string.pluck })).toMatchObject(string.pluck)
    for (const key of ['targetHz', ...Object.keys(string.pluck)]) {
      expect(Reflect.get(string.source, key), key).toMatch(
        /recording|measured|published|assumption|middle|temperament|own/,
      )
    }
  })

  it.each(strings)('$id: a value read off a recording is that recording, rounded', (string) => {
    for (const [key, measured] of [
      ['stiffness', 'stiffnessB'],
      ['decayS', 't60S'],
    ] as const) {
      const id = /^recording (\S+?)(,| |$)/.exec(string.source[key])?.[1]
      if (id === undefined) continue
      const value = index.recordings.find((entry) => entry.id === id)?.[measured] ?? Number.NaN
      // Two significant figures: at worst half of 1 in 10.
      expect(Math.abs(string.pluck[key] / value - 1), `${key} from ${id}`).toBeLessThan(0.05)
    }
  })
})
