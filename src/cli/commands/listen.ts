import { Command } from 'commander'
import { checked, type Field, fill } from '../../core/fields.ts'
import { displayed, displayFields } from '../../core/methods/displayed.ts'
import { methodById } from '../../core/methods/index.ts'
import { listen } from '../../core/methods/listen.ts'
import { Problem } from '../../core/problem.ts'
import { readWav } from '../../core/scene/wav.ts'
import { studyDefaults } from '../../core/study/presets.ts'
import { Exit } from '../exit.ts'
import { readBytes, within } from '../files.ts'

/** What a person may ask a method to look for: from under the lowest bass string to the top of a guitar's neck, and then some. */
const pitchField: Field = { default: 0, min: 15, max: 20000, unit: 'Hz', help: '' }

interface Options {
  readonly method: string
  readonly target?: string
  readonly lowest?: string
  readonly highest?: string
  readonly set: Readonly<Record<string, number>>
  readonly display?: string
}

/** Lets one method hear a WAV file; its readings as CSV. */
export const listenCommand = (): Command =>
  new Command('listen')
    .description('Let a method hear a WAV file: CSV time,frequency,confidence; a declined reading has frequency 0.')
    .argument('<file>', 'WAV file, PCM16, PCM24 or float32; its first channel is heard')
    .requiredOption('--method <id>', 'see the command methods')
    .option('--target <Hz>', 'the note in hand; aimed methods need it')
    .option('--lowest <Hz>', 'lower end of the range', String(studyDefaults.lowestHz))
    .option('--highest <Hz>', 'upper end of the range', String(studyDefaults.highestHz))
    .option(
      '--set <name=value>',
      'a setting of the method; may be given several times',
      (word: string, before: Readonly<Record<string, number>>) => setting(word, before),
      {},
    )
    .option(
      '--display <name=value,...>',
      `what a person sees: the method behind a display with these settings (${Object.keys(displayFields).join(', ')})`,
    )
    .action((path: string, options: Options) => {
      const heard = methodById(options.method)
      const method = options.display === undefined ? heard : displayed(heard, displaySettings(options.display))
      const targetHz = options.target === undefined ? null : numberOf(options.target, '--target')
      if (method.family === 'aimed' && targetHz === null) throw new Exit(2, `${heard.id} is aimed: say --target HZ`)
      const lowestHz = numberOf(options.lowest ?? '', '--lowest')
      const highestHz = numberOf(options.highest ?? '', '--highest')
      if (highestHz <= lowestHz) throw new Problem(`${highestHz} Hz is not above --lowest ${lowestHz} Hz`, '--highest')
      const values = fill(method.fields, options.set, '--set')
      const { sampleRateHz, channels } = within(path, () => readWav(readBytes(path), ''))
      const samples = channels[0] ?? new Float32Array()
      if (channels.length > 1) process.stderr.write(`${path}: channel 1 of ${channels.length} is heard\n`)
      const stream = { sampleRateHz, lowestHz, highestHz, targetHz, room: null }
      const readings = listen(method, samples, stream, values)
      const rows = readings.map(({ toSample, f0Hz, confidence }) => {
        const timeS = toSample / sampleRateHz
        return Number.isNaN(f0Hz) ? `${timeS},0,${confidence}\n` : `${timeS},${f0Hz},${confidence}\n`
      })
      process.stdout.write(`time,frequency,confidence\n${rows.join('')}`)
      const fault = faultOf(samples)
      if (fault !== null) throw new Problem(fault, `${path}: channel 1`)
    })

/** More flat tops than this are no chance: a clean recording has none, one that just touches full scale a few. */
const mostClipped = 0.001

/** What makes readings of this sound worthless, in words; null: nothing. The readings are told all the same. */
function faultOf(samples: Float32Array): string | null {
  const peak = samples.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0)
  if (peak === 0) return 'is silent: every sample is 0'
  if (samples.every((sample) => sample === samples[0])) return `is constant: every sample is ${samples[0]}`
  const isFlat = (at: number): boolean => Math.abs(samples[at]) === peak && samples[at] === samples[at - 1]
  const clipped = samples.reduce((count, _, at) => count + (at > 0 && isFlat(at) ? 1 : 0), 0)
  if (clipped <= mostClipped * samples.length) return null
  return `is clipped: ${clipped} of ${samples.length} samples stand at the peak of ${peak}, above ${100 * mostClipped} %`
}

const displaySettings = (list: string): Record<string, number> =>
  list.split(',').reduce<Record<string, number>>((before, word) => setting(word, before, '--display'), {})

function setting(word: string, before: Readonly<Record<string, number>>, option = '--set'): Record<string, number> {
  const [name, value, ...rest] = word.split('=')
  if (name === undefined || name === '' || value === undefined || value.trim() === '' || rest.length > 0) {
    throw new Exit(2, `${option} ${word}: say name=value`)
  }
  return { ...before, [name]: Number(value) }
}

function numberOf(word: string, option: string): number {
  return checked(word.trim() === '' ? Number.NaN : Number(word), pitchField, option)
}
