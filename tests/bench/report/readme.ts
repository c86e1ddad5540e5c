/** The short table in README.md, between two comments that only this file writes between. */
import { cellName, type MethodFigures } from './figures.ts'
import { quietWord, type Report, ratiosFor, table } from './markdown.ts'
import { countOf, dbOf, msOf, numberOf } from './words.ts'

export const begin = '<!-- bench table: written by `npm run bench` -->'
export const end = '<!-- end of bench table -->'

/** Own methods worth telling apart, and the best known of each outside package. Those that do not exist are left out. */
const shown: readonly string[] = [
  'growing-fit',
  'joint-fit',
  'partial-fit',
  'whitened-sum',
  'yin',
  'mpm',
  'swipe-prime',
  'pitchy',
  'aubio-yinfft',
  'aubio-fcomb',
  'pitchfinder-yin',
  'pitchfinder-macleod',
]

export function readmeTable({ made, methods, plan }: Report): string {
  const rows = shown.flatMap((id) => {
    const each = methods.find((method) => method.id === id)
    return each === undefined ? [] : [rowOf(each, ratiosFor(each, plan))]
  })
  const head = ['method', 'bias in quiet, c', 'white, dB', 'stage, dB', 'within 5 c, ms', 'false claims', 'us a frame']
  return `Measured on ${made.date} (${made.engine}, ${made.machine}; all methods and intervals in
[the bench report](tests/bench/report/bench-report.md)). Aimed methods are told the note and the room's spectrum.

${table(head, rows)}

Bias: largest over E2 to E4 and stiffness 0 to 2e-4. White, stage: lowest ratio with under 5 % of readings grossly wrong or silent. Within 5 c: median
time after the pluck at 20 dB white. False claims: trials at 0 dB beside a stage, ${methods[0] === undefined ? '' : 'E1 and six guitar strings'}.`
}

function rowOf(each: MethodFigures, ratios: readonly number[]): string[] {
  const { id, family, thresholds, paceWhite, field } = each
  const middle = (room: string): string => {
    const figure = thresholds[room]
    return dbOf(figure == null ? null : { ...figure, low: Number.NaN, high: Number.NaN }, ratios)
  }
  const pace = paceWhite.ever5 === null ? '–' : msOf(paceWhite.within5S && { ...paceWhite.within5S, low: Number.NaN })
  return [
    `${id}${family === 'aimed' ? ' (aimed)' : ''}`,
    quietWord(each.quietGuitar),
    middle('white'),
    middle('stage'),
    pace.replace(' ms', ''),
    countOf(field[cellName('stage', 0)]?.falseRate ?? null),
    numberOf(each.microsecondsAFrame),
  ]
}

/** @throws Error when the comments are not there in order. */
export function withTable(readme: string, text: string): string {
  const from = readme.indexOf(begin)
  const to = readme.indexOf(end)
  if (from < 0 || to < from) throw new Error('README.md lacks the comments that the bench table goes between')
  return `${readme.slice(0, from + begin.length)}\n\n${text}\n\n${readme.slice(to)}`
}
