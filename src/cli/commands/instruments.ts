import { Command } from 'commander'
import { cautions } from '../../core/instruments/cautions.ts'
import { type InstrumentFigures, instrumentFigures, type StringFigures } from '../../core/instruments/figures.ts'
import { gaugesNote } from '../../core/instruments/gauges.ts'
import type { Instrument } from '../../core/instruments/instrument.ts'
import { stringPluck } from '../../core/instruments/pluck.ts'
import { knownInstruments, podiumNote, podiumTitle } from '../../core/instruments/podium.ts'
import type { Reckoning } from '../../core/instruments/reckoning.ts'

/** Lists the instruments and the figures of their strings; in the table `~` marks an estimate. */
export const instrumentsCommand = (): Command =>
  new Command('instruments')
    .description('List the instruments and the figures of their strings.')
    .option('--json', 'as JSON')
    .action((options: { json?: true }) => {
      const figured = knownInstruments.map((instrument) => ({ instrument, figures: instrumentFigures(instrument) }))
      process.stdout.write(options.json ? asJson(figured) : asText(figured))
    })

type Figured = readonly { readonly instrument: Instrument; readonly figures: InstrumentFigures }[]

/** NaN, a figure that nobody knows, is null. */
function asJson(figured: Figured): string {
  const instruments = figured.map(({ instrument, figures: { strings, ...whole } }) => ({
    ...instrument,
    ...whole,
    cautions: undefined,
    strings: strings.map((string, index) => ({ ...string, id: stringPluck(instrument, index).id })),
  }))
  return `${JSON.stringify({ schema: 1, title: podiumTitle, note: podiumNote, gaugesNote, instruments, cautions }, null, 2)}\n`
}

function asText(figured: Figured): string {
  const lines = [`${podiumTitle}. ${podiumNote}`, '~ marks an estimate; --json says what each one assumes.']
  for (const { instrument, figures } of figured) {
    const { id, title, player, kind, scaleMm, referenceHz, toleranceCents, capo, notes } = instrument
    const habit =
      capo === null ? '' : `, capo at ${capo.fret}, tuned with it ${capo.tuned === 'capo-on' ? 'on' : 'off'}`
    lines.push(
      '',
      `${id}: ${title}. ${player}`,
      `  ${kind}, ${scaleMm} mm, A4 = ${referenceHz} Hz, within ${toleranceCents} cents${habit}; pull ${shown(figures.totalPullN, 0)} N`,
      ...(notes === '' ? [] : [`  ${notes}`]),
      ...table(figures.strings).map((line) => `  ${line}`),
      ...figures.alarms.map((alarm) => `  ALARM ${alarm}`),
    )
  }
  lines.push('', gaugesNote, ...cautions)
  return `${lines.join('\n')}\n`
}

function table(strings: readonly StringFigures[]): string[] {
  const rows = strings.map((string) => [
    `${string.number}`,
    string.note,
    `${string.targetHz.toFixed(3)}`,
    string.make,
    shown(string.tensionN, 1),
    percent(string.strengthShare),
    string.stiffness.value.toExponential(1) + mark(string.stiffness),
    shown(string.axialRatio, 0),
    shown(string.centsPerDegree, 2),
    shown(string.centsPerKelvin, 1),
  ])
  const all = [['', 'open', 'tune to Hz', 'string', 'N', '% of min.', 'B', 'EA/T', 'c/degree', 'c/K'], ...rows]
  const widths = all[0].map((_, column) => Math.max(...all.map((row) => row[column].length)))
  return all.map((row) => row.map((cell, column) => cell.padStart(widths[column])).join('  '))
}

const mark = (figure: Reckoning): string => (figure.status === 'estimate' ? '~' : '')
const shown = (figure: Reckoning, digits: number): string =>
  Number.isNaN(figure.value) ? '-' : figure.value.toFixed(digits) + mark(figure)
const percent = (figure: Reckoning): string =>
  Number.isNaN(figure.value) ? '-' : `${Math.round(100 * figure.value)}${mark(figure)}`
