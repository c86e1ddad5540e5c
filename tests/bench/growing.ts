/**
 * How soon and how surely the growing fit reads: one case a line, strings E2 to E4. Bundle and run as growing.md says:
 * `node growing.mjs SEED REPEATS [CASE ...]`.
 */
import type { Score } from '../../src/core/score/score.ts'
import { presetStudy, roomById, stringById } from '../../src/core/study/presets.ts'
import type { Study, StudyRoom } from '../../src/core/study/study.ts'
import { openStudy } from '../../src/core/study/trial.ts'

const names = ['E2', 'A2', 'D3', 'G3', 'B3', 'E4']

interface Case {
  readonly room: string
  readonly snrDb: number
  readonly pluck?: Record<string, number>
  readonly learnt?: boolean
  readonly takeS?: number
}

const still = { glideCents: 0 }
const cases: Readonly<Record<string, Case>> = {
  'white 20': { room: 'white', snrDb: 20, pluck: still },
  'white 20 unlearnt': { room: 'white', snrDb: 20, pluck: still, learnt: false },
  'stage 0': { room: 'stage', snrDb: 0, pluck: still },
  'stage 0 unlearnt': { room: 'stage', snrDb: 0, pluck: still, learnt: false },
  'white 0': { room: 'white', snrDb: 0, pluck: still },
  'white -10': { room: 'white', snrDb: -10, pluck: still },
  'glide 10 c 150 ms, white 20': { room: 'white', snrDb: 20, pluck: { glideCents: 10, glideS: 0.15 } },
  'glide 10 c 150 ms, stage 0': { room: 'stage', snrDb: 0, pluck: { glideCents: 10, glideS: 0.15 } },
  'glide 5 c 40 ms, white 20': { room: 'white', snrDb: 20, pluck: { glideCents: 5, glideS: 0.04 } },
  'no string, white': { room: 'white/no-string', snrDb: 0, takeS: 3 },
  'no string, pink': { room: 'pink/no-string', snrDb: 0, takeS: 3 },
  'no string, crowd': { room: 'encore/no-string', snrDb: 0, takeS: 3 },
  'no string, stage': { room: 'stage/no-string', snrDb: 0, takeS: 3 },
  'no string, stage, unlearnt': { room: 'stage/no-string', snrDb: 0, takeS: 3, learnt: false },
  'wrong string, white 20': { room: 'white/wrong-string', snrDb: 20 },
  'wrong string, stage 0': { room: 'stage/wrong-string', snrDb: 0 },
  'neighbours ringing': { room: 'open-strings', snrDb: 0 },
}

const [seed = '1', repeats = '5', ...wanted] = process.argv.slice(2)

const median = (values: number[]): number => values.slice().sort((a, b) => a - b)[values.length >> 1] ?? Number.NaN
const share = (values: number[], at: number): number =>
  values.slice().sort((a, b) => a - b)[Math.min(values.length - 1, Math.floor(at * values.length))] ?? Number.NaN
const ms = (seconds: number): string => (1000 * seconds).toFixed(0)

for (const [name, { room, snrDb, pluck, learnt = true, takeS = 1.5 }] of Object.entries(cases)) {
  if (wanted.length > 0 && !wanted.some((word) => name.startsWith(word))) continue
  const study: Study = {
    ...presetStudy('first'),
    seed: Number(seed),
    strings: names.map((id) => {
      const string = stringById(id)
      return { ...string, pluck: { ...string.pluck, ...pluck } }
    }),
    rooms: [roomById(room) as StudyRoom],
    snrsDb: [snrDb],
    repeats: Number(repeats),
    methods: [{ id: 'growing-fit', values: {} }],
    roomLearnt: learnt,
    takeS,
  }
  const open = openStudy(study, new Map(), () => process.cpuUsage().user / 1000)
  const scores: Score[] = []
  const byString = new Map<string, Score[]>()
  let spent = 0
  let frames = 0
  for (let index = 0; index < open.trialCount; index++) {
    const { outcomes, timings } = open.run(index)
    spent += timings[0]?.ms ?? 0
    frames += timings[0]?.frames ?? 0
    const [outcome] = outcomes
    if (outcome?.state !== 'scored') throw new Error(JSON.stringify(outcome))
    scores.push(outcome.score)
    const own = byString.get(outcome.trial.string) ?? []
    own.push(outcome.score)
    byString.set(outcome.trial.string, own)
  }
  const row = (label: string, list: Score[]): string => {
    const five = list.map((score) => score.within5S)
    const one = list.map((score) => score.within1S)
    const never = (values: number[]): number => values.filter(Number.isNaN).length
    const orLate = (values: number[]): number[] => values.map((value) => (Number.isNaN(value) ? 9.999 : value))
    const rms = Math.hypot(...list.map((score) => score.noiseRmsCents || 0))
    const bound = Math.hypot(...list.map((score) => score.boundRmsCents || 0))
    const claims = (kind: string): number => list.filter((score) => score.claim === kind).length
    const offset = Math.max(...list.map((score) => Math.abs(score.offsetCents)))
    const worst = list
      .filter((score) => !['true', 'none'].includes(score.claim))
      .map((score) => score.claimCents.toFixed(1))
    return (
      `${label.padEnd(10)} n ${list.length} w5 ${ms(median(orLate(five)))} p90 ${ms(share(orLate(five), 0.9))} never ${never(five)}` +
      ` w1 ${ms(median(orLate(one)))} p90 ${ms(share(orLate(one), 0.9))} never ${never(one)} | rms ${(rms / Math.sqrt(list.length)).toFixed(3)}` +
      ` ratio ${(rms / bound).toFixed(2)} gross ${list.reduce((sum, score) => sum + (score.gross || 0), 0)} miss ${list.reduce((sum, score) => sum + (score.missing || 0), 0)}/${list.reduce((sum, score) => sum + score.readings, 0)}` +
      ` off ${offset.toFixed(3)} | lock ${ms(median(orLate(list.map((score) => score.lockS))))}` +
      ` true ${claims('true')} none ${claims('none')} room ${claims('room')} struct ${claims('structural')} prem ${claims('premature')} ${worst.join(' ')}`
    )
  }
  console.log(
    `\n${name}: ${((1000 * spent) / frames).toFixed(0)} us a reading, ${(spent / (scores.length * takeS) / 10).toFixed(1)} % of a core`,
  )
  for (const [string, list] of byString) console.log(row(string, list))
  console.log(row('all', scores))
}
