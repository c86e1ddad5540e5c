import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { describe, expect, it } from 'vitest'
import { nodePort } from '../../src/cli/nodeport.ts'
import { presetStudy } from '../../src/core/study/presets.ts'
import { openStudy, type TrialRun } from '../../src/core/study/trial.ts'
import { runStudy } from '../../src/host/pool.ts'

const study = { ...presetStudy('first'), repeats: 1, methods: ['yin', 'mpm'].map((id) => ({ id, values: {} })) }

/** A plain script, which brings no types of its own. */
const bundle = (await import(new URL('../../src/cli/bundle.mjs', import.meta.url).pathname)) as {
  bundledCli(): Promise<string>
}

/** A worker whose whole script is `code`. */
const scripted = (code: string) => nodePort(new URL(`data:text/javascript,${encodeURIComponent(code)}`))

async function run(spawn: () => ReturnType<typeof nodePort>, trials: readonly number[], startMs = 20_000) {
  const runs = new Map<number, TrialRun>()
  const onTrial = (index: number, result: TrialRun) => void runs.set(index, result)
  const end = await runStudy({ study, recordings: new Map(), spawn, jobs: 2, trials, onTrial, startMs })
  return { end, runs }
}

describe('study worker in a thread of Node', () => {
  it('gives the outcomes of this thread, in whatever order', async () => {
    const script = pathToFileURL(join(await bundle.bundledCli(), 'study.worker.js'))
    const { end, runs } = await run(() => nodePort(script), [0, 3, 4])
    expect(end).toEqual({ done: 3, cancelled: false, problems: [] })
    const own = openStudy(study, new Map())
    for (const index of [0, 3, 4]) expect(runs.get(index)?.outcomes).toEqual(own.run(index).outcomes)
  })

  it('is told from one that dies, ends, throws or hangs', async () => {
    const deaths: [string, string, number][] = [
      ['throw new Error("cannot start")', 'cannot start', 20_000],
      ['process.exit(3)', 'the worker ended with code 3', 20_000],
      ['', 'the worker ended with code 0', 20_000],
      ['setInterval(() => {}, 1000)', 'the worker did not open the study within 0.2 s', 200],
      ['for (;;) ;', 'the worker did not open the study within 0.2 s', 200],
    ]
    for (const [code, what, startMs] of deaths) {
      const { end } = await run(() => scripted(code), [0], startMs)
      expect(end).toEqual({ done: 0, cancelled: false, problems: Array(3).fill({ index: null, what, where: '' }) })
    }
  })

  it('is told from one that is not there', async () => {
    const { end } = await run(() => nodePort(new URL('file:///no/such/worker.js')), [0])
    expect(end.done).toBe(0)
    expect(end.problems[0]?.what).toContain('Cannot find module')
  })
})
