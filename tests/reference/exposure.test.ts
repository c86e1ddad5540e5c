import { expect, it } from 'vitest'
import { longestDailyS } from '../../src/core/maths/exposure.ts'

// NIOSH recommended exposure limit, as its sound level page lists it: 85 dBA 8 h, 88 4 h, 91 2 h, 94 1 h, 97 30 min, 100 15 min.
it.each([
  [85, 480],
  [88, 240],
  [91, 120],
  [94, 60],
  [97, 30],
  [100, 15],
])('allows %i dBA for %i minutes a day', (levelDba, minutes) => {
  expect(longestDailyS(levelDba)).toBe(60 * minutes)
})
