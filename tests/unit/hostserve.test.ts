import { describe, expect, it } from 'vitest'
import { Problem } from '../../src/core/problem.ts'
import { presetStudy } from '../../src/core/study/presets.ts'
import type { Study } from '../../src/core/study/study.ts'
import type { OpenStudy, Replay, TrialRun } from '../../src/core/study/trial.ts'
import type { FromWorker, ToWorker } from '../../src/host/messages.ts'
import { openReplayer } from '../../src/host/replayer.ts'
import { studyServer } from '../../src/host/serve.ts'
import type { WorkerPort } from '../../src/host/workerport.ts'

const study = { id: 'fake', seed: 1 } as unknown as Study
const recording = {
  id: 'hall',
  sampleRateHz: 48000,
  samples: new Float32Array(4),
  onsetS: Number.NaN,
  f1Hz: Number.NaN,
}
const run: TrialRun = { outcomes: [], timings: [] }
const replayOf = (index: number) => ({ trial: { index } }) as unknown as Replay

function opening(opened: Partial<OpenStudy> = {}) {
  return {
    trialCount: 12,
    trialAt: () => {
      throw new Error('not asked for')
    },
    run: () => run,
    replay: replayOf,
    ...opened,
  } as OpenStudy
}

function server(open: () => OpenStudy) {
  const answers: FromWorker[] = []
  const serve = studyServer((message) => answers.push(message), open)
  return { answers, serve }
}

describe('studyServer', () => {
  it('answers each message with its own', () => {
    const { answers, serve } = server(() => opening())
    serve({ kind: 'open', study, recordings: [recording] })
    serve({ kind: 'run', index: 3 })
    serve({ kind: 'replay', index: 4 })
    expect(answers).toEqual([
      { kind: 'opened', trialCount: 12 },
      { kind: 'ran', index: 3, run },
      { kind: 'replayed', index: 4, replay: replayOf(4) },
    ])
  })

  it('hands over recordings by their ids', () => {
    const seen: unknown[] = []
    const serve = studyServer(
      () => {},
      (given, recordings, nowMs) => {
        seen.push(given, recordings.get('hall'), typeof nowMs?.())
        return opening()
      },
    )
    serve({ kind: 'open', study, recordings: [recording] })
    expect(seen).toEqual([study, recording, 'number'])
  })

  it('answers what throws with its problem', () => {
    const { answers, serve } = server(() =>
      opening({
        run: () => {
          throw new Error('too much')
        },
      }),
    )
    serve({ kind: 'run', index: 1 })
    serve({ kind: 'open', study, recordings: [] })
    serve({ kind: 'run', index: 2 })
    serve({ kind: 'sing' } as unknown as ToWorker)
    expect(answers).toEqual([
      { kind: 'failed', index: 1, problem: { what: 'no study is open', where: '' } },
      { kind: 'opened', trialCount: 12 },
      { kind: 'failed', index: 2, problem: { what: 'too much', where: '' } },
      { kind: 'failed', index: null, problem: { what: 'no such message: "sing"', where: '' } },
    ])
  })

  it('says where a study is wrong', () => {
    const { answers, serve } = server(() => {
      throw new Problem('no such method', 'methods.0.id')
    })
    serve({ kind: 'open', study, recordings: [] })
    expect(answers).toEqual([
      { kind: 'failed', index: null, problem: { what: 'no such method', where: 'methods.0.id' } },
    ])
  })

  it('runs and replays a real study', () => {
    const real = { ...presetStudy('first'), methods: ['yin', 'mpm'].map((id) => ({ id, values: {} })) }
    const answers: FromWorker[] = []
    const serve = studyServer((message) => answers.push(message))
    serve({ kind: 'open', study: real, recordings: [] })
    serve({ kind: 'run', index: 0 })
    serve({ kind: 'replay', index: 0 })
    const [opened, ran, replayed] = answers
    expect(opened).toMatchObject({ kind: 'opened' })
    if (ran?.kind !== 'ran' || replayed?.kind !== 'replayed') throw new Error(JSON.stringify(answers.slice(1)))
    expect(ran.run.outcomes.map((outcome) => outcome.state)).toEqual(real.methods.map(() => 'scored'))
    // What is shown of a trial is what was scored, and it survives the way between threads.
    const arrived = structuredClone(replayed.replay)
    const scores = ran.run.outcomes.map((outcome) => (outcome.state === 'scored' ? outcome.score : null))
    expect(arrived.tracks.map((track) => track.score)).toEqual(scores)
    expect(arrived.rendered.take.samples.length).toBe(real.takeS * real.sampleRateHz)
  })
})

describe('openReplayer', () => {
  /** A port whose worker answers when the test says so. */
  function crew() {
    const workers: {
      sent: ToWorker[]
      say: (message: FromWorker) => void
      die: (what: string) => void
      ended: boolean
    }[] = []
    const spawn = (): WorkerPort => {
      const worker = { sent: [] as ToWorker[], say: (_: FromWorker) => {}, die: (_: string) => {}, ended: false }
      workers.push(worker)
      return {
        post: (message) => void worker.sent.push(message),
        onMessage(handler) {
          worker.say = handler
        },
        onError(handler) {
          worker.die = handler
        },
        terminate() {
          worker.ended = true
        },
      }
    }
    return { workers, spawn }
  }
  const indexes = (sent: readonly ToWorker[]) =>
    sent.flatMap((message) => (message.kind === 'replay' ? [message.index] : []))

  it('asks one at a time, and of those that wait only for the last', async () => {
    const { workers, spawn } = crew()
    const replayer = openReplayer(study, new Map(), spawn)
    const asked = [1, 2, 3].map((index) => replayer.replay(index))
    expect(indexes(workers[0].sent)).toEqual([1])
    expect(await asked[1]).toBeNull()
    workers[0].say({ kind: 'opened', trialCount: 12 })
    workers[0].say({ kind: 'replayed', index: 1, replay: replayOf(1) })
    expect(indexes(workers[0].sent)).toEqual([1, 3])
    workers[0].say({ kind: 'failed', index: 3, problem: { what: 'silent', where: 'noises.0' } })
    expect(await asked[0]).toEqual(replayOf(1))
    await expect(asked[2]).rejects.toMatchObject({ name: 'Problem', where: 'noises.0' })
  })

  it('goes on with a new worker after one died or could not open the study', async () => {
    const { workers, spawn } = crew()
    const replayer = openReplayer(study, new Map(), spawn)
    const first = replayer.replay(1)
    workers[0].die('out of memory')
    await expect(first).rejects.toThrow('out of memory')
    expect(workers[0].ended).toBe(true)
    const second = replayer.replay(2)
    workers[1].say({ kind: 'failed', index: null, problem: { what: 'no such method', where: '' } })
    await expect(second).rejects.toThrow('no such method')
    const third = replayer.replay(3)
    workers[2].say({ kind: 'replayed', index: 3, replay: replayOf(3) })
    expect(await third).toEqual(replayOf(3))
  })

  it('answers null to what still waits when it is closed', async () => {
    const { workers, spawn } = crew()
    const replayer = openReplayer(study, new Map(), spawn)
    const asked = [1, 2].map((index) => replayer.replay(index))
    replayer.close()
    expect(await Promise.all(asked)).toEqual([null, null])
    expect(workers[0].ended).toBe(true)
    expect(workers.length).toBe(1)
  })
})
