import { expect, it } from 'vitest'
import { Paces } from '../../src/core/study/pace.ts'
import { presetStudy } from '../../src/core/study/presets.ts'

it('tells who computes a frame before the next hop is full', () => {
  const methods = [
    { id: 'yin', values: {} },
    { id: 'yin', values: { hop: 2048 } },
    { id: 'mpm', values: {} },
  ]
  const paces = new Paces({ ...presetStudy('first'), methods })
  const timing = (frames: number, ms: number) => ({ method: 'yin', frames, ms })
  // 512 samples at 48 kHz are 10 667 us, 2048 are 42 667 us.
  paces.add([timing(10, 100), timing(5, 100), timing(0, 0)])
  paces.add([timing(10, 120), timing(5, 100), timing(0, 0)])
  expect(paces.all()).toEqual([
    { method: 'yin', values: {}, frames: 20, microsecondsAFrame: 11_000, keepsUp: false },
    { method: 'yin', values: { hop: 2048 }, frames: 10, microsecondsAFrame: 20_000, keepsUp: true },
    { method: 'mpm', values: {}, frames: 0, microsecondsAFrame: Number.NaN, keepsUp: null },
  ])
})
