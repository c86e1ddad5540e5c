import { existsSync, writeFileSync } from 'node:fs'
import { Command } from 'commander'
import { Problem } from '../../core/problem.ts'
import { mergeShards } from '../../core/study/merge.ts'
import { readText } from '../files.ts'

/** Puts the shards of a run together: the bytes of the run made in one piece, or nothing at all. */
export const mergeCommand = (): Command =>
  new Command('merge')
    .description('Put the shards of a run together.')
    .argument('<shards...>', 'files made by sweep --shard, in any order')
    .requiredOption('--out <file>', 'the whole run, JSON Lines')
    .action((paths: readonly string[], { out }: { out: string }) => {
      const text = mergeShards(paths.map((path) => ({ path, text: readText(path) })))
      if (existsSync(out)) throw new Problem('is there already: it is not written over', out)
      writeFileSync(out, text)
    })
