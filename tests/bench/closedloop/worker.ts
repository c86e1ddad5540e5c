/** Body of a worker thread: trials of a setting's records, or its evenings on sound, a handful a message. */
import { parentPort } from 'node:worker_threads'
import { type ClosedLoop, openClosedLoop } from '../../../src/core/plan/closedloop.ts'
import type { PlanRequest } from '../../../src/core/plan/plan.ts'
import type { Study } from '../../../src/core/study/study.ts'
import { type OpenStudy, openStudy } from '../../../src/core/study/trial.ts'
import type { Setting } from './settings.ts'

interface Places {
  readonly setting: Setting
  /** That the records are made by. */
  readonly study: Study
  readonly from: number
  readonly to: number
}
interface Trials extends Places {
  readonly kind: 'trials'
}
interface Episodes extends Places {
  readonly kind: 'episodes'
  readonly request: PlanRequest
  /** Of the evenings. */
  readonly seed: number
}
export type Task = Trials | Episodes

const studies = new Map<string, OpenStudy>()
const loops = new Map<string, ClosedLoop>()

function kept<T>(from: Map<string, T>, key: string, make: () => T): T {
  const known = from.get(key) ?? make()
  from.set(key, known)
  return known
}

function work(task: Task): unknown[] {
  const { setting, study, from, to } = task
  const places = Array.from({ length: to - from }, (_, i) => from + i)
  if (task.kind === 'trials') {
    const open = kept(studies, `${setting.id} ${study.untilClaim}`, () => openStudy(study, new Map()))
    // Levels are half of the bytes, and nobody asks.
    return places.map((index) =>
      open.run(index).outcomes.map((outcome) => (outcome.state === 'scored' ? { ...outcome, levels: null } : outcome)),
    )
  }
  const loop = kept(loops, setting.id, () => openClosedLoop(task.request, study, task.seed))
  return places.map((episode) => loop.run(setting.chain, episode))
}

if (parentPort !== null) {
  const port = parentPort
  port.on('message', (task: Task) => port.postMessage(work(task)))
}
