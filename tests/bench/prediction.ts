/**
 * Predictions against what then comes: held mixes of room, ratio and strings, each predicted from 8 s of noise and one pluck a
 * string, then plucked afresh. Bundle and run as prediction.md says:
 * `node prediction.mjs run SEED FROM TO OUT.jsonl` hears mixes FROM to TO - 1, `node prediction.mjs report OUT.jsonl ...` counts.
 */
import { appendFileSync, existsSync, readFileSync } from 'node:fs'
import { median } from '../../src/core/maths/statistics.ts'
import type { PredictedString } from '../../src/core/room/predictedstring.ts'
import { predictionStudy, predictionTrials } from '../../src/core/room/prediction.ts'
import { lowerMedian } from '../../src/core/room/predictionchoice.ts'
import { type Predicted, predictionOf } from '../../src/core/room/predictionoutcome.ts'
import type { Outcome } from '../../src/core/study/study.ts'
import { openStudy } from '../../src/core/study/trial.ts'
import { drawnMix, type FreshHeard } from './predictionmix.ts'

const methods = ['mpm', 'partial-fit', 'whitened-sum', 'joint-fit', 'growing-fit']
const plucks = 30

interface MixLine {
  readonly mix: number
  readonly room: string
  readonly kind: string
  readonly snrDb: number
  readonly strings: readonly PredictedString[]
  readonly unmeasured: readonly string[]
  readonly outcomes: readonly Outcome[]
  readonly fresh: readonly FreshHeard[]
  readonly predictS: number
}

function run(seed: number, mix: number): MixLine {
  const drawn = drawnMix({ seed, mix, plucks })
  const startMs = performance.now()
  const { room, kind, snrDb, strings, unmeasured } = drawn
  const outcomes: Outcome[] = []
  if (strings.length > 0) {
    const choices = methods.map((id) => ({ id, values: {} }))
    const noise = { samples: drawn.noise, sampleRateHz: 48000 }
    const { study, recordings } = predictionStudy({ noise, strings, methods: choices, seed: 1 })
    const opened = openStudy(study, recordings)
    for (const index of predictionTrials(study)) outcomes.push(...opened.run(index).outcomes.map(slim))
  }
  const predictS = (performance.now() - startMs) / 1000
  const fresh = strings.length === 0 ? [] : Array.from({ length: plucks }, (_, n) => drawn.fresh(n, methods)).flat()
  return { mix, room: room.id, kind, snrDb, strings, unmeasured, outcomes, fresh, predictS }
}

/** What predictions look at. */
function slim(outcome: Outcome): Outcome {
  if (outcome.state === 'failed') return outcome
  const { lockS, claimCents, claim } = outcome.score
  return { ...outcome, score: { lockS, claimCents, claim } as never, levels: null }
}

interface Compared {
  readonly value: number
  readonly low: number
  readonly high: number
  readonly achieved: number
  readonly covered: boolean
}

function compared({ value, low, high }: { value: number; low: number; high: number }, achieved: number): Compared {
  return { value, low, high, achieved, covered: achieved >= low - 1e-9 && achieved <= high + 1e-9 }
}

function judged(predicted: Predicted, line: MixLine, method: string) {
  const own = predicted.methods.find((one) => one.method === method)
  const heard = line.fresh.filter((one) => one.method === method)
  if (own === undefined) return null
  const locks = heard.map(({ claim, lockS }) => (claim === 'none' ? Number.POSITIVE_INFINITY : Math.max(0, lockS)))
  const errors = heard.flatMap(({ claim, claimCents }) => (claim === 'none' ? [] : [Math.abs(claimCents)]))
  const wrong = heard.filter(({ claim }) => claim !== 'none' && claim !== 'true').length / heard.length
  return {
    error: compared(own.pooled.errorCents, median(errors)),
    lock: compared(own.pooled.lockS, lowerMedian(locks)),
    falseRate: compared(own.pooled.falseRate, wrong),
  }
}

const half = ({ low, high }: Compared): number => (high - low) / 2
const figure = (value: number): string => (Number.isFinite(value) ? value.toFixed(2) : '>')
const told = ({ value, low, high, achieved, covered }: Compared): string =>
  `${figure(value)} (${figure(low)} to ${figure(high)}) got ${figure(achieved)}${covered ? '' : ' OUT'}`

function report(lines: readonly MixLine[]): void {
  const all = lines.flatMap((line) => {
    if (line.strings.length === 0) {
      console.log(`| ${line.mix} | ${line.room} | ${line.kind} | ${line.snrDb.toFixed(1)} | no string measured |`)
      return []
    }
    return [{ line, predicted: predictionOf(line.strings, line.outcomes, { plucks, seed: 1 }) }]
  })
  for (const { line, predicted } of all) {
    const words = [predicted.fine, predicted.rough].map(({ method, ties }) => {
      const own = method === null ? null : judged(predicted, line, method)
      if (own === null) return 'none'
      return `${method} (+${ties.length}): error ${told(own.error)}; lock ${told(own.lock)}; false ${told(own.falseRate)}`
    })
    const left = line.unmeasured.length === 0 ? '' : ` without ${line.unmeasured.join(' ')}`
    console.log(
      `| ${line.mix} | ${line.room} | ${line.kind}${left} | ${line.snrDb.toFixed(1)} | ${words.join(' | ')} |`,
    )
  }
  const tally = (name: string, of: (one: (typeof all)[number]) => string | null): void => {
    const own = all.flatMap((one) => {
      const method = of(one)
      const found = method === null ? null : judged(one.predicted, one.line, method)
      return found === null ? [] : [found]
    })
    const covered = (key: 'error' | 'lock' | 'falseRate'): string =>
      `${own.filter((one) => one[key].covered).length} of ${own.length}`
    const censored = own.filter(({ lock }) => lock.high === Number.POSITIVE_INFINITY).length
    console.log(
      `${name}: error ${covered('error')}, lock ${covered('lock')}, false ${covered('falseRate')}; half-width error ` +
        `${median(own.map(({ error }) => half(error))).toFixed(2)} c, lock ` +
        `${(100 * lowerMedian(own.map(({ lock }) => half(lock) / lock.value))).toFixed(0)} % (${censored} open above)`,
    )
  }
  tally('fine', ({ predicted }) => predicted.fine.method)
  tally('rough', ({ predicted }) => predicted.rough.method)
  for (const method of methods) tally(method, () => method)
  console.log(`prediction takes ${median(lines.map(({ predictS }) => predictS)).toFixed(1)} s on one core, median`)
}

const linesOf = (text: string): MixLine[] =>
  text
    .split('\n')
    .filter((line) => line !== '')
    .map((line) => JSON.parse(line) as MixLine)

const [mode, ...words] = process.argv.slice(2)
if (mode === 'run') {
  const [seed, from, to] = words.slice(0, 3).map(Number)
  const [path, minutes = '15'] = words.slice(3)
  const untilMs = performance.now() + 60000 * Number(minutes)
  const done = new Set(existsSync(path) ? linesOf(readFileSync(path, 'utf8')).map(({ mix }) => mix) : [])
  for (let mix = from; mix < to && performance.now() < untilMs; mix++) {
    if (!done.has(mix)) appendFileSync(path, `${JSON.stringify(run(seed, mix))}\n`)
  }
} else if (mode === 'report') {
  const lines = linesOf(words.map((path) => readFileSync(path, 'utf8')).join(''))
  report(lines.sort((a, b) => a.mix - b.mix))
}
