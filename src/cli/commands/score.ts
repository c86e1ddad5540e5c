import { Command } from 'commander'
import type { Reading } from '../../core/methods/method.ts'
import { Problem } from '../../core/problem.ts'
import type { Truth } from '../../core/scene/scene.ts'
import { type Score, scoreReadings } from '../../core/score/score.ts'
import { studyDefaults } from '../../core/study/presets.ts'
import { readText, within } from '../files.ts'

interface Options {
  readonly truth: string
  readonly onset: string
  readonly json?: true
}

/** Scores the readings of any program against a truth track. */
export const scoreCommand = (): Command =>
  new Command('score')
    .description(
      'Score the readings of any program (CSV time,frequency[,confidence]) against a truth (CSV time,frequency).',
    )
    .argument('<readings>', 'CSV; frequency 0, empty or nan: the program declined')
    .requiredOption('--truth <file>', 'CSV whose last row is the settled pitch')
    .requiredOption('--onset <s>', 'when the string is plucked, seconds from the start')
    .option('--json', 'as JSON')
    .action((path: string, options: Options) => {
      const onsetS = Number(options.onset)
      if (options.onset.trim() === '' || !Number.isFinite(onsetS) || onsetS < 0) {
        throw new Problem(`${options.onset} is not a time of 0 s or later`, '--onset')
      }
      const readings = within(path, () => readingsOf(rowsOf(readText(path))))
      const truth = within(options.truth, () => truthOf(rowsOf(readText(options.truth)), onsetS))
      const score = scoreReadings({ readings, sampleRateHz: 1, truth, twin: null, settings: studyDefaults.claim })
      process.stdout.write(options.json ? `${JSON.stringify(score, null, 2)}\n` : told(score))
    })

interface Row {
  readonly timeS: number
  readonly f0Hz: number
  readonly confidence: number
}

function rowsOf(text: string): Row[] {
  const [head, ...lines] = text.split(/\r?\n/).filter((line) => line.trim() !== '')
  const names = (head ?? '').split(',').map((name) => name.trim())
  if (names[0] !== 'time' || names[1] !== 'frequency')
    throw new Problem('the first line must be time,frequency[,confidence]', 'line 1')
  let lastS = Number.NEGATIVE_INFINITY
  return lines.map((line, index) => {
    const where = `line ${index + 2}`
    const [time = '', frequency = '', confidence = ''] = line.split(',').map((word) => word.trim())
    const timeS = time === '' ? Number.NaN : Number(time)
    if (!Number.isFinite(timeS)) throw new Problem(`${JSON.stringify(time)} is not a time in seconds`, `${where}.time`)
    if (timeS < lastS) throw new Problem(`${timeS} s is earlier than the line before`, `${where}.time`)
    lastS = timeS
    const f0Hz = frequency === '' || frequency.toLowerCase() === 'nan' ? 0 : Number(frequency)
    if (!Number.isFinite(f0Hz))
      throw new Problem(`${JSON.stringify(frequency)} is not a frequency in Hz`, `${where}.frequency`)
    // Some programs write an unvoiced guess as a negative frequency: to a person waiting for a reading it is none.
    return { timeS, f0Hz: f0Hz > 0 ? f0Hz : Number.NaN, confidence: confidence === '' ? 1 : Number(confidence) }
  })
}

/** At a rate of 1 Hz a sample is a second. The span of evidence is unknown; the moment of the reading stands for it. */
const readingsOf = (rows: readonly Row[]): Reading[] =>
  rows.map(({ timeS, f0Hz, confidence }) => ({
    fromSample: timeS,
    toSample: timeS,
    atSample: timeS,
    f0Hz,
    confidence,
    spreadCents: Number.NaN,
  }))

function truthOf(rows: readonly Row[], onsetS: number): Truth {
  const last = rows.at(-1)
  if (last === undefined) throw new Problem('holds no row', 'line 2')
  if (Number.isNaN(last.f0Hz)) throw new Problem('the last row has no frequency', `line ${rows.length + 1}.frequency`)
  const track = rows.filter((row) => !Number.isNaN(row.f0Hz)).map(({ timeS, f0Hz }) => ({ timeS, f0Hz }))
  return { onsetS, settledHz: last.f0Hz, track }
}

const told = (score: Score): string =>
  Object.entries(score)
    .map(([name, value]) => `${name}: ${typeof value === 'number' && Number.isNaN(value) ? 'none' : value}\n`)
    .join('')
