/** Three displays compared on a worker of its own, anew for every question; the last answer stays until the next is there. */
import { useEffect, useState } from 'react'
import { Problem } from '../../core/problem.ts'
import type { DisplayComparison, DisplayQuestion } from '../../core/study/displays.ts'
import type { Study } from '../../core/study/study.ts'
import { recordingsOf } from '../run/recordings.ts'
import type { AskDisplays, DisplaysAnswer } from './displays.worker.ts'

export interface DisplaysState {
  /** What was asked, for an answer that has come; null: none yet. */
  readonly question: DisplayQuestion | null
  readonly comparison: DisplayComparison | null
  readonly problem: string | null
  readonly waiting: boolean
  /** How far the answer that is waited for has come. */
  readonly progress: { readonly heard: number; readonly of: number } | null
}

const nothingYet: DisplaysState = { question: null, comparison: null, problem: null, waiting: true, progress: null }

/** Whoever steps through points with the arrow keys wants the last one. */
const settleMs = 300

/** @param hold true: wait, the study itself wants the processors. */
export function useDisplays(study: Study, question: DisplayQuestion, hold: boolean): DisplaysState {
  const [state, setState] = useState<DisplaysState>(nothingYet)
  const about = JSON.stringify(question)
  useEffect(() => {
    const asked = JSON.parse(about) as DisplayQuestion
    let worker: Worker | null = null
    let gone = false
    setState((before) => ({ ...before, waiting: true, progress: null }))
    const settle = (next: Partial<DisplaysState>): void => {
      if (!gone) setState({ ...nothingYet, question: asked, ...next, waiting: false })
    }
    const ask = async (): Promise<void> => {
      try {
        const recordings = [...(await recordingsOf(study)).values()]
        if (gone) return
        worker = new Worker(new URL('./displays.worker.ts', import.meta.url), { type: 'module' })
        worker.onerror = (event) => settle({ problem: event.message || 'the comparing worker stopped' })
        worker.onmessage = ({ data }: MessageEvent<DisplaysAnswer>) => {
          if (!('heard' in data)) settle(data)
          else if (!gone) setState((before) => ({ ...before, progress: data }))
        }
        worker.postMessage({ study, question: asked, recordings } satisfies AskDisplays)
      } catch (cause) {
        settle({ problem: cause instanceof Problem ? cause.sentence : String(cause) })
      }
    }
    const timer = hold ? undefined : setTimeout(() => void ask(), settleMs)
    return () => {
      gone = true
      clearTimeout(timer)
      worker?.terminate()
    }
  }, [study, about, hold])
  return state
}
