/**
 * The planner's worker as seen from the page: a newer question ends the older one, with its worker when that has not answered yet.
 * Only the newest answer ever arrives.
 */
import { Problem } from '../../core/problem.ts'
import type { PlanAnswer, PlanAsk } from './answer.ts'
import type { FromPlanner, ReadRun, ToPlanner } from './messages.ts'

type Wish = { [K in ToPlanner['kind']]: Omit<Extract<ToPlanner, { kind: K }>, 'ticket'> }[ToPlanner['kind']]

let worker: Worker | null = null
let ticket = 0
let waiting: { resolve(message: FromPlanner | null): void; early(answer: PlanAnswer): void } | null = null

/** null: a newer question came. */
function tell(wish: Wish, early: (answer: PlanAnswer) => void): Promise<FromPlanner | null> {
  if (waiting !== null) dismiss()
  ticket += 1
  const mine = ticket
  if (worker === null) {
    worker = new Worker(new URL('./plan.worker.ts', import.meta.url), { type: 'module' })
    worker.onmessage = ({ data }: MessageEvent<FromPlanner>) => {
      if (data.ticket !== ticket) return
      if (data.kind === 'planned' && !data.whole) {
        if (data.answer !== null) waiting?.early(data.answer)
        return
      }
      waiting?.resolve(data)
      waiting = null
    }
    worker.onerror = () => dismiss()
  }
  return new Promise((resolve) => {
    waiting = { resolve, early }
    worker?.postMessage({ ...wish, ticket: mine })
  })
}

/** Ends what is being worked out, if anything is. */
export function dismiss(): void {
  if (waiting === null) return
  worker?.terminate()
  worker = null
  waiting.resolve(null)
  waiting = null
}

export const isBusy = (): boolean => waiting !== null

/** `early`: all of it but an interval. null: a newer question came. @throws Problem */
export async function planned(ask: PlanAsk, early: (answer: PlanAnswer) => void): Promise<PlanAnswer | null> {
  const message = await tell({ kind: 'plan', ask }, early)
  if (message === null) return null
  if (message.kind === 'failed') throw new Problem(message.what, message.where)
  return message.kind === 'planned' ? message.answer : null
}

/** null: a newer question came. @throws Problem */
export async function readRun(wish: Omit<Extract<Wish, { kind: 'read' }>, 'kind'>): Promise<ReadRun | null> {
  const message = await tell({ kind: 'read', ...wish }, () => undefined)
  if (message === null) return null
  if (message.kind === 'failed') throw new Problem(message.what, message.where)
  return message.kind === 'read' ? message.run : null
}
