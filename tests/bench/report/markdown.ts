/** The report as text: goals first, then every method's figures, false claims, computing times, and how it was made. */

import { cellName, fieldCells, type MethodFigures, type Quiet } from './figures.ts'
import type { ClaimRow, Goal } from './goals.ts'
import { absent, countOf, dbOf, figureOf, msOf, numberOf, percentOf, shortOf } from './words.ts'

export interface Made {
  /** Day the run was finished, ISO. */
  readonly date: string
  readonly engine: string
  readonly machine: string
  readonly sources: string
  /** A small plan with too few trials to quote. */
  readonly quick: boolean
  readonly rounds: number
}

export interface PlanRow {
  readonly id: string
  readonly title: string
  readonly seed: number
  readonly strings: readonly string[]
  readonly rooms: readonly string[]
  readonly snrsDb: readonly number[]
  readonly repeats: number
  readonly takeS: number
  readonly roomLearnt: boolean
  readonly methods: number
  readonly trials: number
  readonly done: number
  /** Outcomes of methods that threw. */
  readonly failed: number
}

export interface Report {
  readonly schema: 1
  readonly made: Made
  readonly plan: readonly PlanRow[]
  readonly goals: readonly Goal[]
  readonly methods: readonly MethodFigures[]
  readonly falseClaims: readonly ClaimRow[]
  readonly timings: unknown
}

export const table = (head: readonly string[], rows: readonly (readonly string[])[]): string =>
  [head, head.map(() => '---'), ...rows].map((row) => `| ${row.join(' | ')} |`).join('\n')

const mark = (met: boolean | null): string => (met === null ? absent : met ? 'met' : '**not met**')

export function quietWord(quiet: Quiet | null): string {
  if (quiet === null) return absent
  const { worstCents, silent, strings } = quiet
  if (silent.length === strings) return 'silent'
  return `${numberOf(worstCents)}${silent.length === 0 ? '' : ` (${silent.length} of ${strings} silent)`}`
}

/** Ratios that were tried for a method: the slow ones heard fewer. */
export const ratiosFor = ({ slow }: MethodFigures, plan: readonly PlanRow[]): readonly number[] =>
  plan.find(({ id }) => id === (slow ? 'field-slow' : 'field'))?.snrsDb ?? []

export function reportText(report: Report): string {
  const { made, plan, goals, methods, falseClaims } = report
  const rooms = [...new Set(methods.flatMap(({ thresholds }) => Object.keys(thresholds)))]
  const aimed = methods.filter(({ thresholdsUnlearnt }) => Object.keys(thresholdsUnlearnt).length > 0)
  const short = plan.filter(({ done, trials }) => done < trials)
  const failed = methods.filter((each) => each.failed > 0)
  const sections = [
    '# Bench report',
    made.quick ? '**Made with `--quick`: far too few trials to quote anything from.**' : '',
    short.length === 0
      ? ''
      : `**Not complete**: ${short.map(({ id, done, trials }) => `${id} ${done} of ${trials} trials`).join(', ')}.`,
    `Every own method and the outside packages pitchfinder, pitchy and aubiojs on identical trials, finished on ${made.date} (${made.engine}, ${made.machine}).
Strings, rooms and noises are the invented ones of \`signals/\`; no figure speaks of a real stage. 48 kHz, windows of 4096 samples unless the
method says otherwise, hop 512 (slow methods: 2048, fewer trials). Aimed methods are told the note in hand and, unless said otherwise, the
room's spectrum; blind ones only a range of 30 to 1400 Hz. Intervals are 95 %, over trials: bootstrap within strings (1000 rounds), Wilson's for
rates. ${absent}: not measured, or the method cannot tell.`,
    failed.length === 0
      ? ''
      : `Failed outcomes, in no figure: ${failed.map(({ id, failed: count }) => `${id} ${count}`).join(', ')}.`,
    '## Goals',
    'An own goal of the project, each; "not met" is shown, not hidden.',
    table(
      ['goal', 'what', 'method', 'measured', 'wanted', ''],
      goals.map((row) => [String(row.goal), row.what, row.method, row.measured, row.wanted, mark(row.met)]),
    ),
    realGlide,
    '## Robust: the lowest ratio',
    `String over room, dB, from which on a method is off by 50 c or more, or silent, in less than 5 % of its readings of the first second.
"> 20": not even there. E1 and six guitar strings, each up to 30 c off its note.`,
    table(
      ['method', 'family', ...rooms],
      methods.map((each) => [
        each.id,
        each.family,
        ...rooms.map((room) => dbOf(each.thresholds[room], ratiosFor(each, plan))),
      ]),
    ),
    'Aimed methods that were not told the room:',
    table(
      ['method', ...Object.keys(aimed[0]?.thresholdsUnlearnt ?? {})],
      aimed.map((each) => [
        each.id,
        ...Object.values(each.thresholdsUnlearnt).map((db) => dbOf(db, ratiosFor(each, plan))),
      ]),
    ),
    '## Fine: bias in quiet and scatter in noise',
    `Bias: the largest over strings and stiffness 0 to 2e-4, cents. Error and deviation: ideal strings E2 to E4 in white noise at 20 dB, readings of
the first second that are not grossly wrong; the bound is that of each reading's own span, stiffness known. "Partials 1 to 10": that bound
band-limited, -10 to 20 dB pooled. A ratio below 1 has a cause: readings that remember more than their span, a pull towards one value, or gross
errors trimmed off.`,
    table(
      [
        'method',
        'bias E2 to E4',
        'bias E1',
        'bias E1, 170 ms',
        'RMS error, c',
        'deviation over bound',
        'over bound, partials 1 to 10',
      ],
      methods.map((each) => [
        each.id,
        quietWord(each.quietGuitar),
        quietWord(each.quietBass),
        quietWord(each.quietBassLong),
        figureOf(each.rmseCents),
        shortOf(each.overBound),
        shortOf(each.overBand),
      ]),
    ),
    '## Quick: how soon',
    `Ideal strings without a glide, medians over trials, ms after the pluck. "Within 5 c": from then on readings stay there for 0.25 s, which is not
counted. "Steady": when readings stopped moving (6 c, 0.25 s), right or wrong; the lock, when a person may act, is 250 ms later.`,
    ...(['paceWhite', 'paceStage'] as const).map((pace) =>
      [
        pace === 'paceWhite' ? 'White, 20 dB:' : 'Stage, 0 dB:',
        table(
          ['method', 'within 5 c', 'ever', 'within 1 c', 'ever', 'steady'],
          methods
            .filter((each) => each[pace].ever5 !== null)
            .map((each) => [
              each.id,
              msOf(each[pace].within5S),
              percentOf(each[pace].ever5),
              msOf(each[pace].within1S),
              percentOf(each[pace].ever1),
              msOf(each[pace].firstSteadyS),
            ]),
        ),
      ].join('\n\n'),
    ),
    '## Claims in the field',
    'Strings and rooms as above: false claims of all trials (room-caused, premature and structural together), true claims, median lock.',
    table(
      ['method', ...fieldCells.map(([room, snrDb]) => `${room}, ${snrDb} dB`)],
      methods.map((each) => [
        each.id,
        ...fieldCells.map(([room, snrDb]) => {
          const cell = each.field[cellName(room, snrDb)]
          if (cell === undefined || cell.falseRate === null) return absent
          return `${countOf(cell.falseRate)} false, ${countOf(cell.trueRate)} true, ${msOf(cell.lockS)}`
        }),
      ]),
    ),
    '## Claims without the string',
    'Takes of 2.5 s, any claim counts where no string sounds. With the wrong string any claim of an aimed method is false; a blind one is judged on the string that sounds.',
    table(
      ['method', ...Object.keys(methods.find(({ empty }) => Object.keys(empty).length > 0)?.empty ?? {})],
      methods
        .filter(({ empty }) => Object.values(empty).some(({ falseRate }) => falseRate !== null))
        .map((each) => [each.id, ...Object.values(each.empty).map(({ falseRate }) => countOf(falseRate))]),
    ),
    'Aimed methods, many takes:',
    table(
      ['condition', 'room', 'method', 'false claims', 'rate and interval'],
      falseClaims.map(({ condition, room, method, falseRate }) => [
        condition,
        room,
        method,
        countOf(falseRate),
        percentOf(falseRate),
      ]),
    ),
    'A steady line exactly on the target, or a unison that was not learnt, cannot be told from the string by its frequency: nothing above speaks of those.',
    '## Computing time',
    `One thread, nothing else of ours running, median of ${made.rounds} rounds; one core, live, at the method's hop.`,
    table(
      ['method', 'us a frame', 'part of a core'],
      methods.map((each) => [each.id, numberOf(each.microsecondsAFrame), `${numberOf(100 * each.shareOfCore)} %`]),
    ),
    '## How it was made',
    `\`npm run bench\`; sources \`${made.sources}\`. The plan is \`tests/bench/report/plan.ts\`. Parts of one seed hold identical trials.`,
    table(
      ['part', 'what', 'seed', 'strings', 'rooms', 'ratios, dB', 'repeats', 'take, s', 'methods', 'trials'],
      plan.map((row) => [
        row.id,
        row.title,
        String(row.seed),
        row.strings.length > 7 ? `${row.strings.length}` : row.strings.join(' '),
        row.rooms.join(' '),
        row.snrsDb.join(' '),
        String(row.repeats),
        String(row.takeS),
        String(row.methods),
        row.done === row.trials ? String(row.trials) : `${row.done} of ${row.trials}`,
      ]),
    ),
  ]
  return `${sections.filter((section) => section !== '').join('\n\n')}\n`
}

const realGlide = `With a real glide (5 c falling with 40 ms) no method can be within 1 c of the settled pitch before some 65 to 120 ms: the string
itself is not there yet.`
