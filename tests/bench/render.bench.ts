/**
 * How long a take of 2.5 s takes to render, string side and noise side together. Run with
 * `npx vitest bench --run --project node tests/bench/render.bench.ts`; wanted on one core: plain under 25 ms, everything on
 * under 120 ms in the median.
 */
import { bench, describe } from 'vitest'
import { parseScene } from '../../src/core/scene/parse.ts'
import { render } from '../../src/core/scene/render.ts'

const string = { onsetS: 0.5, firstPartialHz: 82.41, stiffness: 5e-5 }
const others = [110, 146.83, 196, 246.94, 329.63].map((firstPartialHz) => ({
  firstPartialHz,
  stiffness: 5e-5,
  decayS: 5,
}))

const plain = parseScene({
  plucks: [{ ...string, decayS: 5, highDecayRatio: 0.5, pickRatio: 0.13 }],
  noises: [{ id: 'pink', snrDb: 10 }],
})
const everything = parseScene({
  plucks: [{ ...string, kind: 'acoustic' }],
  body: 'acoustic',
  neighbours: { kind: 'acoustic', strings: others },
  sensor: { id: 'under-saddle' },
  room: {
    parts: [
      { id: 'stage', levelDb: 0 },
      { id: 'shaken', levelDb: 0 },
      { id: 'handling', levelDb: 0 },
    ],
    snrDb: 0,
  },
})

// Studies render by the hundred: what the first few takes cost until all is compiled is left out, and 4 s give 40 takes and more.
const steady = { warmupTime: 1500, time: 4000 }

describe('a take of 2.5 s', () => {
  bench(
    'plain string, pink noise',
    () => {
      render(plain, new Map())
    },
    steady,
  )
  bench(
    'everything on',
    () => {
      render(everything, new Map())
    },
    steady,
  )
})
