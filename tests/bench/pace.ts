/**
 * Computing time a frame of every listed method, all open in one thread and heard in turn, as a page with all of them live does: window
 * 4096, hop 512, 48 kHz, A2 plucked in pink noise at 10 dB. Prints pace.md. Bundle and run as that says: `node pace.mjs > tests/bench/pace.md`.
 *
 * A round hears the same second with every method before the next begins, so what else the machine does falls on all of them alike.
 */
import { cpus, loadavg } from 'node:os'
import { fill } from '../../src/core/fields.ts'
import { methods } from '../../src/core/methods/index.ts'
import type { Method } from '../../src/core/methods/method.ts'
import { parseScene } from '../../src/core/scene/parse.ts'
import { render } from '../../src/core/scene/render.ts'

const sampleRateHz = 48000
const hop = 512
const targetHz = 110
/** From one frame to the next. */
const hopUs = (1e6 * hop) / sampleRateHz
/** Rounds until all is compiled, and rounds counted. */
const warmRounds = 6
const rounds = 25
/** Packages that take 5 to 80 ms a frame hear two frames a round. */
const slow = new Set(['pitchfinder-yin', 'pitchfinder-macleod', 'pitchfinder-amdf', 'pitchfinder-acf2plus'])
const framesOf = (id: string): number => (slow.has(id) ? 2 : 80)
const outside = (id: string): boolean => id.startsWith('pitch')

const pluck = {
  onsetS: 0.1,
  firstPartialHz: targetHz,
  stiffness: 5e-5,
  decayS: 5,
  highDecayRatio: 0.4,
  pickRatio: 0.13,
}
const scene = parseScene({ durationS: 1.2, plucks: [pluck], noises: [{ id: 'pink', snrDb: 10 }] })
const take = render(scene, new Map()).take.samples

interface Timed {
  readonly method: Method
  readonly us: number[]
  round(): number
}

const timed = methods.map((method): Timed => {
  const target = method.family === 'aimed' ? targetHz : null
  const stream = { sampleRateHz, lowestHz: 30, highestHz: 1400, targetHz: target, room: null }
  const listener = method.open(stream, fill(method.fields, {}))
  const samples = take.subarray(0, framesOf(method.id) * hop)
  let frames = 0
  const count = (): void => {
    frames++
  }
  // The first window.
  listener.push(take.subarray(0, 4096), count)
  return {
    method,
    us: [],
    round() {
      frames = 0
      const start = process.hrtime.bigint()
      listener.push(samples, count)
      return Number(process.hrtime.bigint() - start) / 1000 / frames
    },
  }
})

const loadBefore = loadavg()[0] ?? Number.NaN
for (let round = 0; round < warmRounds + rounds; round++) {
  for (const { us, round: hear } of timed) {
    const time = hear()
    if (round >= warmRounds) us.push(time)
  }
}
const loadAfter = loadavg()[0] ?? Number.NaN

const sorted = new Map(timed.map(({ method, us }) => [method.id, us.toSorted((a, b) => a - b)]))
const medianOf = (id: string): number => sorted.get(id)?.[rounds >> 1] ?? Number.NaN
const bestOf = (id: string): number => sorted.get(id)?.[0] ?? Number.NaN
const shown = (us: number): string => (us < 1000 ? us.toFixed(0) : `${(us / 1000).toFixed(1)} thousand`)
const share = (us: number): string => `${((100 * us) / hopUs).toFixed(1)} %`

/** Ratio of the medians and of the best. */
const times = (slower: string, faster: string): string =>
  `${(medianOf(slower) / medianOf(faster)).toFixed(0)} (best to best ${(bestOf(slower) / bestOf(faster)).toFixed(0)})`

const own = timed.map(({ method }) => method.id).filter((id) => !outside(id))
const sum = (of: (id: string) => number): number => own.reduce((total, id) => total + of(id), 0)
const late = timed.filter(({ method }) => method.family === 'blind' && !outside(method.id) && medianOf(method.id) > 150)

const lines = [
  '# Computing time a frame',
  '',
  `Window 4096, hop ${hop}, 48 kHz, A2 in pink noise at 10 dB, room not learnt; all methods open in one thread and heard in turn (\`pace.ts\`).`,
  `Medians and best of ${rounds} rounds, us a frame; a hop lasts ${hopUs.toFixed(0)} us.`,
  '',
  '| method | family | median | best | of a core |',
  '|---|---|---|---|---|',
  ...timed.map(
    ({ method: { id, family } }) =>
      `| ${id} | ${outside(id) ? 'outside, blind' : family} | ${shown(medianOf(id))} | ${shown(bestOf(id))} | ${share(medianOf(id))} |`,
  ),
  '',
  `- Own blind methods over 150 us: ${late.length === 0 ? 'none' : late.map(({ method }) => method.id).join(', ')}.`,
  `- All own methods side by side: ${shown(sum(medianOf))} us (best ${shown(sum(bestOf))}) a frame, ${share(sum(medianOf))} of a core; wanted: under 25 %.`,
  `- pitchfinder-yin takes ${times('pitchfinder-yin', 'yin')} times as long as yin, pitchfinder-macleod ${times('pitchfinder-macleod', 'mpm')} times as long as mpm; wanted: over 20.`,
  `- pitchy takes ${times('pitchy', 'mpm')} times as long as mpm.`,
  '- What was tried, with before and after: pace-tried.md.',
  '',
  `Made on ${process.platform} ${process.arch}, ${cpus().length} cores (${cpus()[0]?.model.trim() ?? 'unknown'}), shared with other work; Node ${process.version}, load ${loadBefore.toFixed(1)} before and ${loadAfter.toFixed(1)} after,`,
  `${new Date().toISOString().slice(0, 10)}, by`,
  '',
  '    npx rolldown tests/bench/pace.ts --file pace.mjs --platform node --format esm',
  '    node pace.mjs > tests/bench/pace.md',
]
process.stdout.write(`${lines.join('\n')}\n`)
