/**
 * What a study worker does with each message: opens a study once, then runs or replays single trials of it.
 *
 * Every message is answered, a failure too. Answers are copied, not transferred: the open study may keep the samples of a
 * string for the trials that follow, and a copy of a replay's few megabytes costs about a millisecond.
 */
import { Problem } from '../core/problem.ts'
import { type OpenStudy, openStudy } from '../core/study/trial.ts'
import { type FromWorker, type ToWorker, type Trouble, unknownKind } from './messages.ts'

/** @param open stands in for `openStudy` in tests. */
export function studyServer(post: (message: FromWorker) => void, open = openStudy): (message: ToWorker) => void {
  let study: OpenStudy | null = null

  const opened = (): OpenStudy => {
    if (study === null) throw new Problem('no study is open', '')
    return study
  }

  const answer = (message: ToWorker): FromWorker => {
    switch (message.kind) {
      case 'open': {
        const recordings = new Map(message.recordings.map((recording) => [recording.id, recording]))
        study = open(message.study, recordings, () => performance.now())
        return { kind: 'opened', trialCount: study.trialCount }
      }
      case 'run':
        return { kind: 'ran', index: message.index, run: opened().run(message.index) }
      case 'replay':
        return { kind: 'replayed', index: message.index, replay: opened().replay(message.index) }
      default:
        throw new Problem(unknownKind(message), '')
    }
  }

  return (message) => {
    try {
      post(answer(message))
    } catch (error) {
      const index = message !== null && typeof message === 'object' && 'index' in message ? message.index : null
      post({ kind: 'failed', index, problem: troubleOf(error) })
    }
  }
}

function troubleOf(error: unknown): Trouble {
  if (error instanceof Problem) return { what: error.message, where: error.where }
  return { what: error instanceof Error ? error.message : String(error), where: '' }
}
