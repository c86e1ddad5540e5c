/** The planner, off the page's thread. One question at a time: whoever asks another ends this worker, which is what cancels it. */
import { recordsOf } from '../../core/plan/fromrun.ts'
import { Problem } from '../../core/problem.ts'
import { parseRun } from '../../core/study/record.ts'
import { type PlanAnswer, Planner } from './answer.ts'
import type { FromPlanner, ReadRun, ToPlanner } from './messages.ts'
import { heardIn } from './records.ts'

const planner = new Planner()

self.onmessage = ({ data }: MessageEvent<ToPlanner>) => {
  const { ticket } = data
  try {
    if (data.kind === 'plan') {
      const early = (part: PlanAnswer): void => answer({ kind: 'planned', ticket, answer: part, whole: false })
      answer({ kind: 'planned', ticket, answer: planner.answer(data.ask, early), whole: true })
    } else answer({ kind: 'read', ticket, run: read(data) })
  } catch (cause) {
    const where = cause instanceof Problem ? cause.where : ''
    answer({ kind: 'failed', ticket, what: cause instanceof Error ? cause.message : String(cause), where })
  }
}

const answer = (message: FromPlanner): void => self.postMessage(message)

function read({ text, instrument, room }: Extract<ToPlanner, { kind: 'read' }>): ReadRun {
  const { header, outcomes, completeTrials } = parseRun(text)
  const { rooms, methods } = header.study
  const own = rooms.find(({ id }) => id === room) ?? rooms[0]
  if (own === undefined) throw new Problem('has no room', 'line 1.study')
  const records = recordsOf(header, outcomes, instrument, own.id)
  return { records, heard: heardIn(header.study, methods.length), rooms, room: own, trials: completeTrials }
}
