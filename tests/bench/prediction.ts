/**
 * Predictions against what then comes: held mixes of room, ratio and strings, each predicted from 8 s of noise and one pluck a
 * string, then plucked afresh. Bundle and run as prediction.md says:
 * `node prediction.mjs run SEED FROM TO OUT.jsonl` hears mixes FROM to TO - 1, `node prediction.mjs report OUT.jsonl ...` counts.
 */
import { appendFileSync, existsSync, readFileSync } from 'node:fs'
import { median, wilson } from '../../src/core/maths/statistics.ts'
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
const figure = (value: number): string => (Number.isFinite(value) ? value.toFixed(2) : 'open')
const told = ({ value, low, high, achieved, covered }: Compared): string =>
  `${figure(value)} (${figure(low)} to ${figure(high)}), ${covered ? '' : '**'}${figure(achieved)}${covered ? '' : '**'}`
const cells = (words: readonly (string | number)[]): void => console.log(`| ${words.join(' | ')} |`)

/** Wanted of an interval: issue 5. */
const mostHalfCents = 1.5
const mostHalfShare = 0.3

function report(lines: readonly MixLine[]): void {
  const all = lines
    .filter(({ strings }) => strings.length > 0)
    .map((line) => ({ line, predicted: predictionOf(line.strings, line.outcomes, { plucks, seed: 1 }) }))
  type Judged = NonNullable<ReturnType<typeof judged>>
  const row = (name: string, of: (one: (typeof all)[number]) => string | null): void => {
    const own = all.flatMap((one): Judged[] => {
      const method = of(one)
      const found = method === null ? null : judged(one.predicted, one.line, method)
      return found === null ? [] : [found]
    })
    const coverage = (of: (one: Judged) => Compared): string => {
      const each = own.map(of)
      const hits = each.filter(({ covered }) => covered).length
      const { low, high } = wilson(hits, each.length)
      const over = each.filter(({ covered, achieved, high: upper }) => !covered && !(achieved <= upper)).length
      const misses = `${over} over, ${each.length - hits - over} under`
      return `${hits} (${(100 * low).toFixed(0)} to ${(100 * high).toFixed(0)} %; ${misses})`
    }
    const halfCents = own.map(({ error }) => half(error))
    const halfShares = own.map(({ lock }) => half(lock) / lock.value)
    const within = (values: readonly number[], most: number): number => values.filter((value) => value <= most).length
    cells([
      name,
      own.length,
      coverage(({ error }) => error),
      coverage(({ lock }) => lock),
      own.filter(({ error, lock }) => error.covered && lock.covered).length,
      coverage(({ falseRate }) => falseRate),
      `${median(halfCents).toFixed(2)}, ${within(halfCents, mostHalfCents)}`,
      `${(100 * lowerMedian(halfShares.map((share) => (share >= 0 ? share : Number.POSITIVE_INFINITY)))).toFixed(0)}, ` +
        `${within(halfShares, mostHalfShare)}`,
    ])
  }
  const head = ['method', 'mixes', 'error covered', 'lock covered', 'both', 'false covered']
  cells([
    ...head,
    `half of error, c: median, <= ${mostHalfCents}`,
    `half of lock, %: median, <= ${100 * mostHalfShare}`,
  ])
  cells([...head, '', ''].map(() => '---'))
  row('chosen as fine', ({ predicted }) => predicted.fine.method)
  row('chosen as rough', ({ predicted }) => predicted.rough.method)
  for (const method of methods) row(method, () => method)
  console.log()
  cells(['mix', 'room', 'strings', 'ratio, dB', 'chosen', 'error, c: predicted, then came', 'lock, s', 'false'])
  cells(Array.from({ length: 8 }, () => '---'))
  for (const { line, predicted } of all) {
    const left = line.unmeasured.length === 0 ? '' : ` without ${line.unmeasured.join(' ')}`
    for (const [word, { method, ties }] of Object.entries({ fine: predicted.fine, rough: predicted.rough })) {
      const own = method === null ? null : judged(predicted, line, method)
      const figures = own === null ? ['none', '', ''] : [own.error, own.lock, own.falseRate].map(told)
      const chosen = `${word}: ${method ?? 'none'}${ties.length === 0 ? '' : `, ${ties.length} as good`}`
      cells([line.mix, line.room, `${line.kind}${left}`, line.snrDb.toFixed(1), chosen, ...figures])
    }
  }
  const none = lines.filter(({ strings }) => strings.length === 0).map(({ mix }) => mix)
  if (none.length > 0)
    console.log(`\nNo string could be measured in mix ${none.join(', ')}: nothing is predicted there.`)
  const median1 = median(lines.map(({ predictS }) => predictS))
  console.log(`\nThe study of a mix took ${median1.toFixed(1)} s on one core of a busy machine, median.`)
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
