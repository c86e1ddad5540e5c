import { dirname } from 'node:path'
import { Command } from 'commander'
import { parseScene } from '../../core/scene/parse.ts'
import { render } from '../../core/scene/render.ts'
import { writeWav } from '../../core/scene/wav.ts'
import { readJson, within, writeAll } from '../files.ts'
import { readRecordings, recordingsOfScene } from '../library.ts'
import { partialsTable } from '../partialstable.ts'

/** Renders a scene: the take, its two sides, and what is true of it. */
export const renderCommand = (): Command =>
  new Command('render')
    .description('Render a scene: take.wav, clean.wav, noise.wav, truth.csv, partials.csv.')
    .argument('<scene>', 'scene file, JSON')
    .requiredOption('--out <folder>', 'folder to write into; made if missing')
    .action((path: string, options: { out: string }) => {
      const scene = readJson(path, parseScene)
      const recordings = within(path, () => readRecordings(recordingsOfScene(scene), dirname(path)))
      const { take, clean, noise, partials } = within(path, () => render(scene, recordings))
      const truth = take.truth?.track ?? []
      const table = partialsTable(partials)
      writeAll(options.out, {
        'take.wav': writeWav(take.samples, take.sampleRateHz),
        'clean.wav': writeWav(clean, take.sampleRateHz),
        'noise.wav': writeWav(noise, take.sampleRateHz),
        'truth.csv': csv(
          'time,frequency',
          truth.map((row) => [row.timeS, row.f0Hz]),
        ),
        'partials.csv': csv(table.head, table.rows),
      })
    })

const csv = (head: string, rows: readonly (readonly number[])[]): string =>
  [head, ...rows.map((row) => row.join(','))].map((line) => `${line}\n`).join('')
