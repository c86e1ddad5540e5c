/** A trial made again and examined, both off the main thread. The last one stays until the next is there. */
import { useEffect, useState } from 'react'
import { Problem } from '../../core/problem.ts'
import type { Recordings } from '../../core/scene/scene.ts'
import type { Study } from '../../core/study/study.ts'
import type { Replay } from '../../core/study/trial.ts'
import { browserPort } from '../../host/browserport.ts'
import { openReplayer, type Replayer } from '../../host/replayer.ts'
import { named } from '../run/names.ts'
import type { Examination, ExamineAnswer, ExamineRequest } from './examine.ts'

export interface SeenTrial {
  readonly replay: Replay
  readonly examination: Examination
  /** What the pictures show, s from the start of the take. */
  readonly span: { readonly fromS: number; readonly toS: number }
}

export interface TrialState {
  readonly seen: SeenTrial | null
  readonly problem: string | null
}

/** A glimpse of the room before the pluck; all of the lead when a claim was made in it. */
const glimpseS = 0.1

export function useTrial(study: Study, recordings: Recordings, index: number): TrialState {
  const [replayer, setReplayer] = useState<Replayer | null>(null)
  const [state, setState] = useState<TrialState>({ seen: null, problem: null })

  useEffect(() => {
    const opened = openReplayer(study, recordings, browserPort)
    setReplayer(opened)
    return () => opened.close()
  }, [study, recordings])

  useEffect(() => {
    if (replayer === null) return
    const worker = new Worker(new URL('./examine.worker.ts', import.meta.url), { type: 'module' })
    let gone = false
    const answer = (next: TrialState): void => {
      if (!gone) setState(next)
    }
    replayer.replay(index).then(
      (made) => {
        if (made === null || gone) return
        const replay = { ...made, tracks: made.tracks.map(named(study.methods)) }
        const span = spanOf(study, replay)
        worker.onerror = (event) => answer({ seen: null, problem: event.message || 'the examining worker stopped' })
        worker.onmessage = ({ data }: MessageEvent<ExamineAnswer>) =>
          answer(
            'problem' in data
              ? { seen: null, problem: data.problem }
              : { seen: { replay, examination: data.examination, span }, problem: null },
          )
        worker.postMessage({ study, replay, span } satisfies ExamineRequest)
      },
      (cause: unknown) => answer({ seen: null, problem: cause instanceof Problem ? cause.sentence : String(cause) }),
    )
    return () => {
      gone = true
      worker.terminate()
    }
  }, [study, replayer, index])

  return state
}

function spanOf(study: Study, { rendered, tracks }: Replay): SeenTrial['span'] {
  const { take } = rendered
  const onsetS = take.truth?.onsetS ?? study.leadS
  const early = tracks.some(({ score }) => score.claim === 'premature')
  return { fromS: early ? 0 : Math.max(0, onsetS - glimpseS), toS: take.samples.length / take.sampleRateHz }
}
