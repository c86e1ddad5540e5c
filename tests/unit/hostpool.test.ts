import { describe, expect, it } from 'vitest'
import type { Recordings } from '../../src/core/scene/scene.ts'
import type { Study } from '../../src/core/study/study.ts'
import type { TrialRun } from '../../src/core/study/trial.ts'
import type { FromWorker, ToWorker } from '../../src/host/messages.ts'
import { runStudy, type StudyOrder } from '../../src/host/pool.ts'
import type { WorkerPort } from '../../src/host/workerport.ts'

/** 2 strings x 1 room x 3 ratios x 2 repeats = 12 trials. */
const study: Study = {
  id: 'fake',
  seed: 1,
  sampleRateHz: 48000,
  takeS: 1.5,
  leadS: 0.5,
  detuneCents: 20,
  strings: [
    { id: 'E2', targetHz: 82.407, pluck: {} },
    { id: 'E4', targetHz: 329.628, pluck: {} },
  ],
  rooms: [{ id: 'white', parts: [], variant: 'string' }],
  snrsDb: [0, 10, 20],
  repeats: 2,
  methods: [
    { id: 'yin', values: {} },
    { id: 'mpm', values: {} },
  ],
  claim: { spanCents: 6, holdS: 0.25, tolCents: 5 },
  roomLearnt: false,
  lowestHz: 30,
  highestHz: 1400,
}
const recordings: Recordings = new Map()
const every = Array.from({ length: 12 }, (_, index) => index)

/** A run told from others by what stands in its timings. */
const runOf = (index: number): TrialRun => ({ outcomes: [], timings: [{ method: `trial ${index}`, frames: 1, ms: 1 }] })

type Answer = FromWorker | { readonly kind: 'dies'; readonly what: string } | { readonly kind: 'hangs' }
/** What worker number `worker` (0, 1, ... in order of birth) does with a message. */
type Behaviour = (message: ToWorker, worker: number) => Answer

const wellBehaved: Behaviour = (message) => {
  switch (message.kind) {
    case 'open':
      return { kind: 'opened', trialCount: 12 }
    case 'run':
      return { kind: 'ran', index: message.index, run: runOf(message.index) }
    case 'replay':
      return { kind: 'hangs' }
  }
}

function crew(behave: Behaviour) {
  const seen = { born: 0, alive: 0, most: 0, begun: [] as number[] }
  const spawn = (): WorkerPort => {
    const worker = seen.born++
    seen.most = Math.max(seen.most, ++seen.alive)
    let alive = true
    let hear: (message: FromWorker) => void = () => {}
    let fail: (what: string) => void = () => {}
    return {
      post(message) {
        if (message.kind === 'run') seen.begun.push(message.index)
        const answer = behave(message, worker)
        if (answer.kind === 'hangs') return
        // A live port answers later, and a terminated one not at all.
        setTimeout(() => {
          if (!alive) return
          if (answer.kind === 'dies') fail(answer.what)
          else hear(answer)
        })
      },
      onMessage(handler) {
        hear = handler
      },
      onError(handler) {
        fail = handler
      },
      terminate() {
        if (alive) seen.alive--
        alive = false
      },
    }
  }
  return { seen, spawn }
}

async function run(behave: Behaviour, order: Partial<StudyOrder> = {}) {
  const { seen, spawn } = crew(behave)
  const runs = new Map<number, TrialRun>()
  const reported: number[] = []
  const end = await runStudy({
    study,
    recordings,
    spawn,
    jobs: 3,
    trials: every,
    onTrial(index, result) {
      reported.push(index)
      runs.set(index, result)
    },
    ...order,
  })
  return { end, seen, runs, reported }
}

const sorted = (indexes: readonly number[]) => [...indexes].sort((a, b) => a - b)

describe('runStudy', () => {
  it('reports every trial once, whatever the number of jobs, and ends its workers', async () => {
    for (const jobs of [1, 3, 40]) {
      const { end, seen, reported, runs } = await run(wellBehaved, { jobs })
      expect(end).toEqual({ done: 12, cancelled: false, problems: [] })
      expect(sorted(reported)).toEqual(every)
      for (const index of every) expect(runs.get(index)).toEqual(runOf(index))
      expect(seen.most).toBe(Math.min(jobs, 12))
      expect(seen.alive).toBe(0)
    }
  })

  it('begins trials in the order given where no string side is shared', async () => {
    // E2 repeat 1, E2 repeat 0, E4 repeat 1, E4 repeat 0.
    const trials = [3, 2, 9, 6]
    expect((await run(wellBehaved, { trials, jobs: 1 })).reported).toEqual(trials)
    const { seen, reported } = await run(wellBehaved, { trials, jobs: 2 })
    expect(seen.begun).toEqual(trials)
    expect(sorted(reported)).toEqual(sorted(trials))
  })

  it('gives a worker the trials of string sides it has heard, and each side to one worker', async () => {
    const sidesOf = new Map<number, Set<string>>()
    const noted: Behaviour = (message, worker) => {
      if (message.kind === 'run') {
        const side = `${message.index < 6 ? 'E2' : 'E4'} ${message.index % 2}`
        sidesOf.set(worker, (sidesOf.get(worker) ?? new Set()).add(side))
      }
      return wellBehaved(message, worker)
    }
    await run(noted, { jobs: 4 })
    // Four string sides, four workers.
    expect([...sidesOf.values()].map((sides) => [...sides]).sort()).toEqual([['E2 0'], ['E2 1'], ['E4 0'], ['E4 1']])
    const { seen } = await run(wellBehaved, { jobs: 1 })
    expect(seen.begun).toEqual([0, 2, 4, 1, 3, 5, 6, 8, 10, 7, 9, 11])
  })

  it('passes no trial over more than fourteen times', async () => {
    // One worker, one string: repeat 0 at the first ratio, then repeat 1 once, then repeat 0 at 39 more ratios.
    const many = { ...study, snrsDb: Array.from({ length: 40 }, (_, at) => at), strings: study.strings.slice(0, 1) }
    const trials = [0, 1, ...Array.from({ length: 39 }, (_, at) => 2 * at + 2)]
    const { seen } = await run(wellBehaved, { study: many, trials, jobs: 1 })
    expect(seen.begun.indexOf(1)).toBe(15)
    expect(sorted(seen.begun)).toEqual(sorted(trials))
  })

  it('tells progress up to the end, with a time to go', async () => {
    const told: [number, number, number][] = []
    await run(wellBehaved, { onProgress: (done, total, etaS) => told.push([done, total, etaS]) })
    expect(told.map(([done]) => done)).toEqual(every.map((index) => index + 1))
    for (const [, total, etaS] of told) {
      expect(total).toBe(12)
      expect(etaS).toBeGreaterThanOrEqual(0)
    }
    expect(told.at(-1)?.[2]).toBe(0)
  })

  it('does nothing for no trials', async () => {
    const { end, seen } = await run(wellBehaved, { trials: [] })
    expect(end).toEqual({ done: 0, cancelled: false, problems: [] })
    expect(seen.born).toBe(0)
  })

  it('replaces a worker that dies and does its trial again', async () => {
    let killed = false
    const { end, seen, reported, runs } = await run((message, worker) => {
      if (message.kind === 'run' && message.index === 4 && !killed) {
        killed = true
        return { kind: 'dies', what: 'out of memory' }
      }
      return wellBehaved(message, worker)
    })
    expect(sorted(reported)).toEqual(every)
    expect(runs.get(4)).toEqual(runOf(4))
    expect(end.problems).toEqual([{ index: 4, what: 'out of memory', where: '' }])
    expect(seen.born).toBe(4)
  })

  it('records a trial that kills two workers as failed for every method, and goes on', async () => {
    const { end, seen, reported, runs } = await run((message, worker) =>
      message.kind === 'run' && message.index === 9 ? { kind: 'dies', what: 'crash' } : wellBehaved(message, worker),
    )
    expect(end.done).toBe(12)
    expect(sorted(reported)).toEqual(every)
    expect(seen.begun.filter((index) => index === 9).length).toBe(2)
    // Trial 9 by hand: repeats fastest, so 9 = ((1 * 1 + 0) * 3 + 1) * 2 + 1: second string, second ratio, second repeat.
    const trial = { index: 9, string: 'E4', room: 'white', snrDb: 10, repeat: 1 }
    const problem = { what: 'crash', where: '' }
    expect(runs.get(9)?.outcomes).toEqual(study.methods.map((method) => ({ state: 'failed', trial, method, problem })))
    expect(seen.alive).toBe(0)
  })

  it('records a trial that throws at once, without a second try', async () => {
    const { seen, runs, end } = await run((message, worker) =>
      message.kind === 'run' && message.index === 2
        ? { kind: 'failed', index: 2, problem: { what: 'too loud', where: 'noises.0' } }
        : wellBehaved(message, worker),
    )
    expect(seen.begun.filter((index) => index === 2).length).toBe(1)
    expect(runs.get(2)?.outcomes.map((outcome) => outcome.state)).toEqual(['failed', 'failed'])
    expect(end.problems).toEqual([])
  })

  it('replaces a worker that hangs at its start, and one that dies there', async () => {
    const { end, seen, reported } = await run(
      (message, worker) => {
        if (worker === 0) return { kind: 'hangs' }
        if (worker === 1) return { kind: 'dies', what: 'no such file' }
        return wellBehaved(message, worker)
      },
      { startMs: 20, jobs: 2 },
    )
    expect(sorted(reported)).toEqual(every)
    expect(seen.alive).toBe(0)
    expect(end.problems.map(({ what }) => what).sort()).toEqual([
      'no such file',
      'the worker did not open the study within 0.02 s',
    ])
  })

  it('replaces a worker that hangs in a trial', async () => {
    let hung = false
    const { end, reported } = await run(
      (message, worker) => {
        if (message.kind === 'run' && message.index === 5 && !hung) {
          hung = true
          return { kind: 'hangs' }
        }
        return wellBehaved(message, worker)
      },
      { trialMs: 20 },
    )
    expect(sorted(reported)).toEqual(every)
    expect(end.problems).toEqual([{ index: 5, what: 'the worker did not end its trial within 0.02 s', where: '' }])
  })

  it('goes on without the places that cannot be filled', async () => {
    const { end, seen, reported } = await run((message, worker) =>
      worker !== 1 && message.kind === 'open' ? { kind: 'dies', what: 'denied' } : wellBehaved(message, worker),
    )
    expect(sorted(reported)).toEqual(every)
    // Two places with three tries each, and the worker that did it all.
    expect(seen.born).toBe(7)
    expect(end.problems.length).toBe(6)
  })

  it('ends short of the total when no worker starts, spawn throwing included', async () => {
    const dying = await run(() => ({ kind: 'dies', what: 'denied' }))
    expect(dying.end).toMatchObject({ done: 0, cancelled: false })
    expect(dying.end.problems.length).toBe(9)
    const end = await runStudy({
      study,
      recordings,
      spawn() {
        throw new Error('no threads here')
      },
      jobs: 2,
      trials: every,
      onTrial: () => {},
    })
    expect(end.done).toBe(0)
    expect(end.problems[0]?.what).toBe('no threads here')
  })

  it('distrusts a worker that answers what it was not asked', async () => {
    const { end, reported } = await run((message, worker) =>
      worker === 0 && message.kind === 'run'
        ? { kind: 'ran', index: 99, run: runOf(99) }
        : wellBehaved(message, worker),
    )
    expect(sorted(reported)).toEqual(every)
    expect(end.problems.map(({ what }) => what)).toEqual(['it answered trial 99 unasked'])
  })

  it('rejects with the study’s own problem when it cannot be opened', async () => {
    const problem = { what: 'no such method; known are yin, mpm', where: 'methods.0.id' }
    const { seen, spawn } = crew(() => ({ kind: 'failed', index: null, problem }))
    const running = runStudy({ study, recordings, spawn, jobs: 2, trials: every, onTrial: () => {} })
    await expect(running).rejects.toMatchObject({ name: 'Problem', message: problem.what, where: problem.where })
    expect(seen.alive).toBe(0)
  })

  it('rejects with what the caller’s own function threw, and stops', async () => {
    const { seen, spawn } = crew(wellBehaved)
    const onTrial = () => {
      throw new Error('disk full')
    }
    await expect(runStudy({ study, recordings, spawn, jobs: 2, trials: every, onTrial })).rejects.toThrow('disk full')
    expect(seen.alive).toBe(0)
  })

  it('stops at once on abort, busy workers included, and reports nothing afterwards', async () => {
    const stop = new AbortController()
    const { seen, spawn } = crew((message, worker) =>
      message.kind === 'run' && message.index > 3 ? { kind: 'hangs' } : wellBehaved(message, worker),
    )
    const reported: number[] = []
    let abortedMs = Number.NaN
    setTimeout(() => {
      abortedMs = performance.now()
      stop.abort()
    }, 60)
    const onTrial = (index: number) => void reported.push(index)
    const end = await runStudy({ study, recordings, spawn, jobs: 2, trials: every, onTrial, signal: stop.signal })
    // The person's limit for a cancel is 500 ms; nothing is waited for, so a tenth of it is already slow.
    expect(performance.now() - abortedMs).toBeLessThan(50)
    expect(end).toEqual({ done: 4, cancelled: true, problems: [] })
    expect(seen.alive).toBe(0)
    await new Promise((resolve) => setTimeout(resolve, 20))
    expect(reported.length).toBe(4)
  })

  it('does not begin when it is aborted already', async () => {
    const { end, seen } = await run(wellBehaved, { signal: AbortSignal.abort() })
    expect(end).toEqual({ done: 0, cancelled: true, problems: [] })
    expect(seen.born).toBe(0)
  })
})
