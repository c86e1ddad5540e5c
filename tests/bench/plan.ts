/**
 * When two methods pay: spans of budgets for a few tolerances, from plucks really recorded. Bundle and run as plan.md says:
 * `node plan.mjs SEED REPEATS`. Four strings of a bass, pink noise, 12 kHz; a rough and a fine method without displays, and behind two slow
 * ones (150 ms of averaging on the rough one, 600 ms on the fine one). Then records made by rule: what decides is how much later the fine
 * method claims and how far off strings start.
 */
import { instrumentById } from '../../src/core/instruments/podium.ts'
import { recordsOf } from '../../src/core/plan/fromrun.ts'
import { defaultHand, defaultWork } from '../../src/core/plan/hand.ts'
import { type Prepared, prepare } from '../../src/core/plan/plan.ts'
import { type Quickest, stagesPay } from '../../src/core/plan/stagespay.ts'
import { planStudy, roomById } from '../../src/core/study/presets.ts'
import { headerOf, trialCount } from '../../src/core/study/record.ts'
import type { MethodChoice, Study } from '../../src/core/study/study.ts'
import { openStudy } from '../../src/core/study/trial.ts'
import { madeRecords } from '../unit/planparts.ts'

const [seed, repeats] = process.argv.slice(2).map(Number) as [number, number]
const instrument = instrumentById('ring-bass', 'instrument')
const values = { window: 1024, hop: 128 }
const behind = (id: string, averagingMs: number): MethodChoice => ({
  ...{ id, values },
  display: { averagingMs, updateHz: 30, inRangeCents: 0, gateDb: -120 },
})
const sets: Readonly<Record<string, readonly MethodChoice[]>> = {
  'no displays': [
    { id: 'harmonic-sum', values },
    { id: 'partial-fit', values },
  ],
  '150 and 600 ms': [behind('harmonic-sum', 150), behind('partial-fit', 600)],
}

process.stdout.write(
  '| displays | within | one method alone needs | two need | saved, s | budgets |\n|---|---|---|---|---|---|\n',
)
for (const [name, methods] of Object.entries(sets)) {
  const study: Study = {
    ...planStudy({ instrument, room: roomById('pink'), snrsDb: [10, 15, 20] }),
    ...{ seed, repeats, methods, sampleRateHz: 12_000, takeS: 2.5, untilClaim: true },
  }
  const open = openStudy(study, new Map())
  const outcomes = Array.from({ length: trialCount(study) }, (_, index) => open.run(index).outcomes).flat()
  const records = recordsOf(headerOf(study, '0', 'node'), outcomes, instrument, 'pink')
  const prepared = prepare({
    ...{ records, snrDb: 20, bridge: 'fixed', hand: defaultHand, work: defaultWork, offsetsKnown: false, seed: 3 },
  })
  if (prepared === null) throw new Error('nothing to plan with')
  for (const withinCents of [5, 6, 8, 10, 12, 15]) {
    process.stdout.write(`| ${name} | ±${withinCents} c ${cellsOf(prepared, withinCents)}\n`)
  }
}

process.stdout.write(
  '\n| start | fine method later by | one method alone needs | two need | saved, s | budgets |\n|---|---|---|---|---|---|\n',
)
for (const [startMeanCents, startSdCents] of [
  [-8, 15],
  [-40, 30],
] as const) {
  for (const laterS of [0.05, 0.3, 0.6, 1]) {
    const made = [
      { id: 'rough', lockS: 0.35, sdCents: 4 },
      { id: 'fine', lockS: 0.35 + laterS, sdCents: 0.4 },
    ]
    const prepared = prepare({
      ...{ records: madeRecords(made), snrDb: 10, bridge: 'fixed', offsetsKnown: false, seed: 7 },
      hand: { ...defaultHand, startMeanCents, startSdCents },
      work: { ...defaultWork, unevenDb: 0 },
    })
    if (prepared === null) throw new Error('nothing to plan with')
    process.stdout.write(`| ${startMeanCents} ± ${startSdCents} c | ${laterS} s ${cellsOf(prepared, 3)}\n`)
  }
}

function cellsOf(prepared: Prepared, withinCents: number): string {
  const { spans, alone, together, savedS } = stagesPay(prepared, { withinCents, wantedChance: 0.8 })
  const needs = (quickest: Quickest | null): string =>
    quickest === null ? 'never' : `${quickest.neededS.toFixed(1)} s`
  const saved =
    savedS === null ? '' : `${savedS.value.toFixed(1)} (${savedS.low.toFixed(1)} to ${savedS.high.toFixed(1)})`
  const words = spans.map(
    ({ kind, fromS, toS }) =>
      `${fromS} to ${Number.isFinite(toS) ? toS : 'any'} s: ${kind === 'chain' ? 'two' : 'one'}`,
  )
  return `| ${needs(alone)} | ${needs(together)} | ${saved} | ${words.join(', ') || 'none is enough'} |`
}
