/**
 * One choice of the study: a word in the sentence that opens its editor. Edits go to a draft; closing applies it when it is
 * a study, and keeps the study as it was when it is not.
 */
import { type ComponentType, useState } from 'react'
import { Button, Dialog, DialogTrigger, Heading, Popover } from 'react-aria-components'
import { Problem } from '../../core/problem.ts'
import { parseStudy } from '../../core/study/parse.ts'
import type { Study } from '../../core/study/study.ts'
import { RoomsEditor } from '../rooms/RoomsEditor.tsx'
import { openStudy } from '../run/session.ts'
import { useBench } from '../store.ts'
import { ClaimEditor, type EditorProps, PresetEditor, RatiosEditor, RepeatsEditor } from './editors.tsx'
import { MethodsEditor } from './MethodsEditor.tsx'
import { StringsEditor } from './StringsEditor.tsx'
import { presetOf, trialsWords } from './words.ts'

export interface Choice {
  readonly title: string
  readonly Editor: ComponentType<EditorProps>
}

export const choices = {
  preset: { title: 'Start from', Editor: PresetEditor },
  strings: { title: 'Strings', Editor: StringsEditor },
  rooms: { title: 'Rooms', Editor: RoomsEditor },
  ratios: { title: 'Ratios', Editor: RatiosEditor },
  methods: { title: 'Methods', Editor: MethodsEditor },
  repeats: { title: 'Repeats, seed and take', Editor: RepeatsEditor },
  claim: { title: 'Steady and true', Editor: ClaimEditor },
} as const satisfies Record<string, Choice>

/** The draft and what is wrong with it; `apply` opens it when it changed. */
export function useDraft(): {
  draft: Study
  problem: string | null
  begin(): void
  change(change: Partial<Study>): void
  /** Another study altogether. */
  take(study: Study): void
  apply(): void
} {
  const study = useBench((state) => state.study)
  const [draft, setDraft] = useState(study)
  const problem = problemOf(draft)
  return {
    draft,
    problem,
    begin: () => setDraft(study),
    change: (change) => setDraft((now) => ({ ...now, ...change, id: 'own' })),
    take: setDraft,
    apply: () => {
      if (problem !== null || JSON.stringify(draft) === JSON.stringify(study)) return
      void openStudy({ ...draft, id: presetOf(draft) ?? draft.id })
    },
  }
}

function problemOf(draft: Study): string | null {
  const empty = (['strings', 'rooms', 'snrsDb', 'methods'] as const).find((name) => draft[name].length === 0)
  if (empty !== undefined) return `${emptyWords[empty]}: nothing is ticked. Closing keeps the study as it was.`
  try {
    parseStudy(draft)
    return null
  } catch (cause) {
    if (cause instanceof Problem) return `${cause.sentence}. Closing keeps the study as it was.`
    throw cause
  }
}

const emptyWords = { strings: 'Strings', rooms: 'Rooms', snrsDb: 'Ratios', methods: 'Methods' }

export function DraftProblem({ problem }: { problem: string | null }) {
  return problem === null ? null : (
    <p className="problem" role="alert">
      {problem}
    </p>
  )
}

export function ChoiceWord(props: { choice: Choice; word: string }) {
  const { choice, word } = props
  const { draft, problem, begin, change, take, apply } = useDraft()
  return (
    <DialogTrigger onOpenChange={(open) => (open ? begin() : apply())}>
      <Button className="word">{word}</Button>
      <Popover className="popover" placement="bottom start" offset={2}>
        <Dialog className="dialog">
          {({ close }) => (
            <>
              <Heading slot="title" level={2}>
                {choice.title}
              </Heading>
              <choice.Editor study={draft} change={change} take={take} />
              <DraftProblem problem={problem} />
              <div className="dialog-foot">
                <Button className="button" onPress={close}>
                  {problem === null ? `Done: ${trialsWords(draft)}` : 'Close'}
                </Button>
              </div>
            </>
          )}
        </Dialog>
      </Popover>
    </DialogTrigger>
  )
}
