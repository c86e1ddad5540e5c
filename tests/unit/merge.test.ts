import { describe, expect, it } from 'vitest'
import { Problem } from '../../src/core/problem.ts'
import { mergeShards } from '../../src/core/study/merge.ts'
import { parseStudy } from '../../src/core/study/parse.ts'
import { headerOf, parseRun, recordLine, type Shard, trialCount, trialsOf } from '../../src/core/study/record.ts'
import { openStudy } from '../../src/core/study/trial.ts'

const study = parseStudy({ strings: ['E4'], rooms: ['white'], snrsDb: [0, 20], repeats: 4, methods: ['zero-crossing'] })
const open = openStudy(study, new Map())
const lines = Array.from({ length: trialCount(study) }, (_, index) => open.run(index).outcomes.map(recordLine).join(''))

function fileOf(shard?: Shard): string {
  const { from, to } = trialsOf(study, shard)
  return recordLine(headerOf(study, '0', 'test', shard)) + lines.slice(from, to).join('')
}

const shards = (of: number) =>
  Array.from({ length: of }, (_, at) => ({ path: `${at + 1}.jsonl`, text: fileOf({ index: at + 1, of }) }))

const problemOf = (work: () => unknown): string => {
  try {
    work()
  } catch (error) {
    if (error instanceof Problem) return error.sentence
    throw error
  }
  return 'no problem'
}

describe('shards', () => {
  it('are stretches that leave no trial out and take none twice, however many there are', () => {
    for (const of of [1, 3, 8, 11]) {
      const spans = Array.from({ length: of }, (_, at) => trialsOf(study, { index: at + 1, of }))
      expect(spans[0]?.from).toBe(0)
      expect(spans.at(-1)?.to).toBe(8)
      for (const [at, { from }] of spans.entries()) if (at > 0) expect(from).toBe(spans[at - 1]?.to)
    }
  })

  it('are read as what they are', () => {
    const run = parseRun(fileOf({ index: 2, of: 3 }))
    // 8 trials in three: [0, 2), [2, 5), [5, 8).
    expect(run.completeTrials).toBe(3)
    expect(run.outcomes.map(({ trial }) => trial.index)).toEqual([2, 3, 4])
  })

  it('give the bytes of the whole run, in whatever order they come', () => {
    for (const of of [1, 3, 11]) expect(mergeShards([...shards(of)].reverse())).toBe(fileOf())
  })

  it('are refused with a gap, twice, torn, or of another run', () => {
    const [one, two, three] = shards(3) as [
      { path: string; text: string },
      { path: string; text: string },
      { path: string; text: string },
    ]
    expect(problemOf(() => mergeShards([one, three]))).toBe('merge: shard 2/3 is missing')
    expect(problemOf(() => mergeShards([one, two, two, three]))).toBe('2.jsonl: holds shard 2/3 a second time')
    expect(problemOf(() => mergeShards([one, { ...two, text: two.text.slice(0, -9) }, three]))).toBe(
      '2.jsonl: is incomplete: 2 of 3 trials',
    )
    const other = { ...two, text: two.text.replace('"seed":1', '"seed":2') }
    expect(problemOf(() => mergeShards([one, other, three]))).toContain('2.jsonl: is of another run than 1.jsonl')
    expect(problemOf(() => mergeShards([one, { path: 'w.jsonl', text: fileOf() }]))).toBe(
      'w.jsonl: is no shard but a whole run',
    )
    expect(problemOf(() => mergeShards([]))).toBe('merge: no shards were given')
  })
})
