import { Command } from 'commander'
import { instrumentById, knownInstruments } from '../../core/instruments/podium.ts'
import type { Figure } from '../../core/maths/statistics.ts'
import { recordsOf } from '../../core/plan/fromrun.ts'
import { defaultHand, defaultWork } from '../../core/plan/hand.ts'
import type { PlanWanted } from '../../core/plan/outcome.ts'
import { checkWanted, defaultChance, planFor, prepare } from '../../core/plan/plan.ts'
import { type ToldPlan, told } from '../../core/plan/told.ts'
import { Problem } from '../../core/problem.ts'
import { instrumentOf } from '../../core/study/instrumentstrings.ts'
import { type Header, parseRun } from '../../core/study/record.ts'
import { readText, within } from '../files.ts'

interface Options {
  readonly budget: string
  readonly within: string
  readonly instrument?: string
  readonly room?: string
  readonly snr?: string
  readonly chance?: string
  readonly bridge?: string
  readonly seed?: string
  readonly offsets?: true
  readonly json?: true
}

/** Which method first, when to change, when to stop, and what will be left. An infeasible wish is an answer, not an error. */
export const planCommand = (): Command =>
  new Command('plan')
    .description('Plan the tuning of one instrument from a run of the study `plan`.')
    .argument('<run>', 'run file, JSON Lines')
    .requiredOption('--budget <s>', 'seconds there are')
    .requiredOption('--within <cents>', 'what counts as in tune')
    .option('--instrument <id>', "the run's own, else the first there is")
    .option('--room <id>', "one of the run's rooms; the first")
    .option('--snr <db>', 'string over noise; the noisiest of the run')
    .option('--chance <share>', `wanted chance that all strings end verified in time; ${defaultChance}`)
    .option('--bridge <kind>', 'fixed or floating', 'fixed')
    .option('--offsets', 'what each method reads off in quiet was taken on these very strings, and is subtracted')
    .option('--seed <n>', 'of the imagined evenings', '1')
    .option('--json', 'as JSON')
    .action((path: string, options: Options) => {
      const run = within(path, () => parseRun(readText(path)))
      const wanted: PlanWanted = {
        budgetS: numberOf(options.budget, '--budget'),
        withinCents: numberOf(options.within, '--within'),
        wantedChance: options.chance === undefined ? defaultChance : numberOf(options.chance, '--chance'),
      }
      checkWanted(wanted)
      const instrument = instrumentById(options.instrument ?? ownInstrument(run.header), '--instrument')
      const room = options.room ?? run.header.study.rooms[0].id
      const records = within(path, () => recordsOf(run.header, run.outcomes, instrument, room))
      const prepared = prepare({
        records,
        snrDb: options.snr === undefined ? records.snrsDb[0] : numberOf(options.snr, '--snr'),
        bridge: bridgeOf(options.bridge),
        hand: defaultHand,
        work: defaultWork,
        offsetsKnown: options.offsets === true,
        seed: numberOf(options.seed, '--seed'),
      })
      if (prepared === null) throw new Problem('holds no method to plan with', path)
      const answer = told(prepared, planFor(prepared, wanted), wanted, instrument.id)
      process.stdout.write(options.json ? `${JSON.stringify(answer, null, 2)}\n` : asText(answer))
    })

/** The instrument whose strings the run holds, else the first of the podium. */
const ownInstrument = ({ study }: Header): string =>
  study.strings.map(instrumentOf).find((id) => id !== null) ?? knownInstruments[0].id

function numberOf(text: string | undefined, where: string): number {
  const value = Number(text)
  if (text === undefined || text.trim() === '' || Number.isNaN(value))
    throw new Problem(`"${text}" is not a number`, where)
  return value
}

function bridgeOf(kind: string | undefined): 'fixed' | 'floating' {
  if (kind === 'fixed' || kind === 'floating') return kind
  throw new Problem(`"${kind}" is neither fixed nor floating`, '--bridge')
}

function asText(plan: ToldPlan): string {
  const { wanted, buysMost, frontier } = plan
  const [verdict, ...steps] = plan.sentences
  const best = buysMost[0]
  const lines = [
    `${plan.instrument}, ${plan.room} at ${plan.snrDb} dB, ${plan.bridge} bridge; ±${wanted.withinCents} c in ${wanted.budgetS} s`,
    verdict,
    ...(plan.pays.sentence === null ? [] : [plan.pays.sentence]),
    ...steps.map((step, at) => `${at + 1}. ${step}`),
    '',
    `all verified within ±${wanted.withinCents} c in time: ${shared(plan.chance)}`,
    `time, nine runs in ten: ${figured(plan.timeP90S, 's')}`,
    `worst string left, 95 in 100: ${figured(plan.worstP95Cents, 'c')}`,
    `some string unverified: ${shared(plan.unverified.chance)}`,
    ...(best === undefined || best.gain <= 0
      ? []
      : [`what would help most: ${best.words} (chance ${percent(best.chance)})`]),
    ...plan.choices.map(({ words }) => `- ${words}`),
    ...(plan.leftOut.length === 0 ? [] : [`beaten everywhere, left out: ${plan.leftOut.join(', ')}`]),
    ...(plan.caution === null ? [] : [plan.caution]),
    '',
    'frontier: kind, time (nine in ten), worst string (95 in 100), within tolerance and verified however long it takes, stages',
    ...frontier.map(
      ({ kind, timeP90S, worstP95Cents, chance, stages }) =>
        `${kind}  ${timeP90S.toFixed(1)} s  ±${worstP95Cents.toFixed(1)} c  ${percent(chance)}  ${stages.map(({ method, letGoCents, handOver }) => `${method} ±${letGoCents}${handOver === 'turn-once' ? ' once' : ''}`).join(' > ')}`,
    ),
    'The hand and the start of the strings are assumptions until they are measured: see the Plan page.',
  ]
  return `${lines.join('\n')}\n`
}

const percent = (share: number): string => `${Math.round(100 * share)} %`
const shared = ({ value, low, high, n }: Figure): string =>
  `${percent(value)} (${percent(low)} to ${percent(high)}, n ${n})`
const figured = ({ value, low, high, n }: Figure, unit: string): string =>
  `${value.toFixed(1)} ${unit} (${low.toFixed(1)} to ${high.toFixed(1)}, n ${n})`
