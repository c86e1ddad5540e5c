/**
 * Rendered samples hash equal in every engine because scene/ uses nothing an engine may approximate: ECMA-262, section 21.3.2,
 * leaves the last bit of sin, cos, exp, log, pow and the operator ** open. Powers of two are exact everywhere.
 */
import { readdirSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'

const folder = new URL('../../src/core/scene/', import.meta.url)
const files = readdirSync(folder, { recursive: true, encoding: 'utf8' }).filter((file) => file.endsWith('.ts'))

const exactEverywhere = new Set([
  ...['abs', 'ceil', 'floor', 'fround', 'imul', 'max', 'min', 'round', 'sign', 'sqrt', 'trunc'],
  ...['LN10', 'LN2', 'PI', 'SQRT2'],
])

describe('what scene/ calculates with', () => {
  it('is found', () => {
    expect(files.length).toBeGreaterThan(10)
  })
  it.each(files)('is the same in every engine: %s', (file) => {
    const text = readFileSync(new URL(file, folder), 'utf8').replace(/\/\*[\s\S]*?\*\/|\/\/.*/g, '')
    const used = [...text.matchAll(/\bMath\.(\w+)/g)].map((match) => match[1] ?? '')
    expect(used.filter((name) => !exactEverywhere.has(name))).toEqual([])
    const bases = [...text.matchAll(/(\S+)\s*\*\*\s*\S/g)].map((match) => match[1])
    expect(bases.filter((base) => base !== '2')).toEqual([])
  })
})
