/**
 * Shards of one run, put together again: the same bytes as the run made in one piece.
 */
import { Problem } from '../problem.ts'
import { type Header, parseRun, recordLine, type Shard, trialsOf } from './record.ts'

interface ShardFile {
  readonly path: string
  readonly text: string
}

/**
 * In any order; each must be complete and all of one run.
 * @throws Problem naming the file that is incomplete, comes twice or is of another run, and the shard that is missing.
 */
export function mergeShards(files: readonly ShardFile[]): string {
  const found = new Map<number, string>()
  let whole: { readonly line: string; readonly of: number } | null = null
  for (const { path, text } of files) {
    const { header, completeTrials, completeChars } = parsed(path, text)
    const { shard, ...rest } = header
    if (shard === undefined) throw new Problem('is no shard but a whole run', path)
    const line = recordLine(rest as Header)
    if (whole !== null && (whole.line !== line || whole.of !== shard.of)) {
      throw new Problem(
        `is of another run than ${files[0]?.path}: study, seed, version, engine or number of shards differ`,
        path,
      )
    }
    whole = { line, of: shard.of }
    const { from, to } = trialsOf(header.study, shard)
    if (completeTrials < to - from || completeChars < text.length) {
      throw new Problem(`is incomplete: ${completeTrials} of ${to - from} trials`, path)
    }
    if (found.has(shard.index)) throw new Problem(`holds shard ${named(shard)} a second time`, path)
    found.set(shard.index, text.slice(text.indexOf('\n') + 1))
  }
  if (whole === null) throw new Problem('no shards were given', 'merge')
  const parts = [whole.line]
  for (let index = 1; index <= whole.of; index++) {
    const part = found.get(index)
    if (part === undefined) throw new Problem(`shard ${index}/${whole.of} is missing`, 'merge')
    parts.push(part)
  }
  return parts.join('')
}

const named = ({ index, of }: Shard): string => `${index}/${of}`

function parsed(path: string, text: string): ReturnType<typeof parseRun> {
  try {
    return parseRun(text)
  } catch (error) {
    if (error instanceof Problem) throw new Problem(error.message, `${path}: ${error.where}`)
    throw error
  }
}
