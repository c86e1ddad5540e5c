/** A study as part of an address: the same study comes back, anything else is refused with a sentence. */
import { describe, expect, it } from 'vitest'
import { parseRoute, routeHash } from '../../src/app/router.ts'
import { studyCode, studyOfCode } from '../../src/app/run/link.ts'
import { presetStudy } from '../../src/core/study/presets.ts'

describe('links', () => {
  it('names a preset by its name', async () => {
    expect(await studyCode(presetStudy('quick'))).toBe('quick')
    expect(await studyOfCode('quick')).toEqual(presetStudy('quick'))
  })

  it('brings back a changed study, through an address', async () => {
    const study = { ...presetStudy('standard'), id: 'own', seed: 7, snrsDb: [-10, 0], repeats: 12 }
    const { query } = parseRoute(routeHash('', { study: await studyCode(study) }))
    expect(await studyOfCode(query.study ?? '')).toEqual(study)
  })

  it('refuses other versions, torn links, and studies that are none', async () => {
    await expect(studyOfCode('2.abc')).rejects.toThrow('version')
    await expect(studyOfCode('1.abc')).rejects.toThrow('cut short')
    const code = await studyCode({ ...presetStudy('first'), id: 'own', repeats: 0 })
    await expect(studyOfCode(code)).rejects.toThrow('0 is below 1')
  })
})

describe('routes', () => {
  it('takes path and words apart', () => {
    expect(parseRoute('#/trial?trial=3&method=yin')).toEqual({ path: 'trial', query: { trial: '3', method: 'yin' } })
    expect(parseRoute('')).toEqual({ path: '', query: {} })
  })
})
