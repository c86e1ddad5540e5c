/** The report of the closed loop as text. */
import type { Figure } from '../../../src/core/maths/statistics.ts'
import { mean } from '../../../src/core/maths/statistics.ts'
import type { HeardEpisode } from '../../../src/core/plan/closedloop.ts'
import type { Told } from './figures.ts'
import type { Setting } from './settings.ts'

export interface Row {
  readonly setting: Setting
  readonly told: readonly Told[]
  readonly heard: readonly HeardEpisode[]
  /** Plucks a string and ratio that it is told from. */
  readonly plucks: number
  /** From as many as the preset has. */
  readonly ofPreset: readonly Told[]
  readonly ofPresetPlucks: number
}

export interface Made {
  readonly engine: string
  readonly machine: string
  readonly recordSeed: number
  readonly eveningSeed: number
  readonly predictedEpisodes: number
  readonly intervalRounds: number
  /** Commit and hashes of what the figures depend on. */
  readonly sources: string
}

const figures: Readonly<Record<Told['name'], { words: string; limit: string; off: (told: Told) => number }>> = {
  meanS: {
    words: 'mean time, s',
    limit: '5 %',
    off: ({ predicted, achieved }) => predicted.value / achieved.value - 1,
  },
  p90S: {
    words: 'nine evenings in ten done in, s',
    limit: '10 %',
    off: ({ predicted, achieved }) => predicted.value / achieved.value - 1,
  },
  chance: {
    words: 'all verified and within the tolerance',
    limit: '.08',
    off: ({ predicted, achieved }) => predicted.value - achieved.value,
  },
}
const limits: Readonly<Record<Told['name'], number>> = { meanS: 0.05, p90S: 0.1, chance: 0.08 }

export function reportText(rows: readonly Row[], made: Made): string {
  const [first] = rows
  return `# Are a plan's numbers true?

${made.predictedEpisodes} imagined evenings, drawn from records of the study \`plan\` (${first?.plucks} plucks a string and ratio), against
evenings on sound (n beside each): every pluck rendered anew at the pitch the string has by then, the method really listening, its claim steering the
same hand. Seeds ${made.recordSeed} (records) and ${made.eveningSeed} (evenings): strings, noise, learnt rooms and hands have nothing in common.
The predicted interval holds 95 of 100 outcomes of as many evenings as were heard if the model is right (recorded strings and evenings drawn anew, ${made.intervalRounds} rounds).
The preset itself has ${first?.ofPresetPlucks} plucks: what it says, from the first of them, stands in the last column.
Hand and work are the defaults, which are assumptions. ${made.engine}, ${made.machine}. Sources: ${made.sources}.

${counted(rows.flatMap(({ told }) => told))} From the preset's ${first?.ofPresetPlucks} plucks: ${counted(rows.flatMap(({ ofPreset }) => ofPreset))}

| setting | figure | predicted | achieved | off | limit | inside | from ${first?.ofPresetPlucks} plucks |
|---|---|---|---|---|---|---|---|
${rows.flatMap(({ setting, told, ofPreset }) => told.map((one, at) => line(setting, one, ofPreset[at] as Told))).join('\n')}

${rows.map(notes).join('\n')}
`
}

function counted(all: readonly Told[]): string {
  const near = all.filter((told) => Math.abs(figures[told.name].off(told)) <= limits[told.name]).length
  return `Within the limit: ${near} of ${all.length}. Inside the predicted interval: ${all.filter(({ covered }) => covered).length} of ${all.length}.`
}

function line({ id }: Setting, told: Told, ofPreset: Told): string {
  const { words, limit, off } = figures[told.name]
  const value = off(told)
  const shown = told.name === 'chance' ? value.toFixed(3) : `${(100 * value).toFixed(1)} %`
  return `| ${id} | ${words} | ${shownFigure(told, told.predicted)} | ${shownFigure(told, told.achieved)}, n ${told.achieved.n} | ${shown} | ${limit} | ${told.covered ? 'yes' : 'no'} | ${shownFigure(ofPreset, ofPreset.predicted)}${ofPreset.covered ? '' : ', not inside'} |`
}

function shownFigure({ name }: Told, { value, low, high }: Figure): string {
  const digits = name === 'chance' ? 3 : 1
  return `${value.toFixed(digits)} (${low.toFixed(digits)} to ${high.toFixed(digits)})`
}

function notes({ setting, heard }: Row): string {
  const plucks = mean(heard.map((one) => one.plucks))
  const lost = heard.reduce((sum, one) => sum + one.lost, 0) / heard.reduce((sum, one) => sum + one.plucks, 0)
  const stages = setting.chain.stages
    .map(({ method, letGoCents, handOver, ahead }) => {
      const choice = setting.methods[method]
      const shown = choice?.display === undefined ? '' : `, display of ${choice.display.averagingMs} ms`
      return `${choice?.id}${shown} ±${letGoCents} c${ahead === true ? ' ahead' : ''}${handOver === 'turn-once' ? ' once' : ''}`
    })
    .join(', then ')
  return `- **${setting.id}**: ${setting.words}; ${stages}; within ±${setting.withinCents} c. ${plucks.toFixed(1)} plucks an evening, ${(100 * lost).toFixed(1)} % of them never settled.`
}
