import { dirname } from 'node:path'
import { Command } from 'commander'
import { checked, type Field } from '../../core/fields.ts'
import { parseScene } from '../../core/scene/parse.ts'
import { studyDefaults } from '../../core/study/presets.ts'
import { boundOfScene } from '../../core/study/scenebound.ts'
import { readJson, within } from '../files.ts'
import { readRecordings, recordingsOfScene } from '../library.ts'

/** From a tenth of the shortest window worth trying to longer than any string is waited for. */
const spanField: Field = { default: 0.085, min: 0.005, max: 60, unit: 's', help: '' }

/** 0.085 s is the default window (4096 samples at 48 kHz); the others bracket what a technician waits. */
const usualSpansS = [0.05, 0.085, 0.17, 0.25, 0.5, 1, 2]

const columns = ['knownCents', 'unknownCents', 'bandKnownCents', 'bandUnknownCents'] as const

/** The smallest standard deviation that physics allows over spans from the pluck on. */
export const boundCommand = (): Command =>
  new Command('bound')
    .description('The Cramer-Rao bound of a scene, in cents, over spans from the pluck; and when it allows a claim.')
    .argument('<scene>', 'scene file, JSON')
    .option('--span <s>', 'one span instead of the usual ones')
    .option('--json', 'as JSON')
    .action((path: string, options: { span?: string; json?: true }) => {
      const spansS = options.span === undefined ? usualSpansS : [checked(Number(options.span), spanField, '--span')]
      const scene = readJson(path, parseScene)
      const bound = within(path, () => boundOfScene(scene, readRecordings(recordingsOfScene(scene), dirname(path))))
      const spans = spansS.map((spanS) => ({
        spanS,
        knownCents: bound.sdCents(0, spanS, { stiffness: 'known' }),
        unknownCents: bound.sdCents(0, spanS, { stiffness: 'unknown' }),
        bandKnownCents: bound.sdCents(0, spanS, { stiffness: 'known', band: true }),
        bandUnknownCents: bound.sdCents(0, spanS, { stiffness: 'unknown', band: true }),
      }))
      const boundLockS = bound.lockS(studyDefaults.claim.tolCents)
      if (options.json) {
        process.stdout.write(`${JSON.stringify({ spans, boundLockS }, null, 2)}\n`)
        return
      }
      process.stdout.write(`spanS,${columns.join(',')}\n`)
      for (const row of spans)
        process.stdout.write(`${[row.spanS, ...columns.map((name) => row[name].toPrecision(4))].join(',')}\n`)
      process.stdout.write(`boundLockS,${Number.isNaN(boundLockS) ? 'none' : boundLockS.toPrecision(4)}\n`)
    })
