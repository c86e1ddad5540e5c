/** The study as a sentence whose words open their choices; on a phone as a line, and the choices as rows behind "change". */
import { useState } from 'react'
import { Button, Dialog, DialogTrigger, Heading, Modal, ModalOverlay } from 'react-aria-components'
import { useBench } from '../store.ts'
import { ChoiceWord, choices, DraftProblem, useDraft } from './Choice.tsx'
import {
  learntWords,
  methodsWords,
  presetOf,
  ratiosWords,
  repeatsWords,
  roomsWords,
  steadyWords,
  stringsWords,
  trialsWords,
} from './words.ts'

export function StudySentence() {
  const study = useBench((state) => state.study)
  return (
    <p className="sentence">
      Pluck <ChoiceWord choice={choices.strings} word={stringsWords(study)} /> in{' '}
      <ChoiceWord choice={choices.rooms} word={roomsWords(study)} /> at{' '}
      <ChoiceWord choice={choices.ratios} word={ratiosWords(study)} />, listen with{' '}
      <ChoiceWord choice={choices.methods} word={methodsWords(study)} /> {learntWords(study)},{' '}
      <ChoiceWord choice={choices.repeats} word={repeatsWords(study)} /> each from seed {study.seed}. Steady is{' '}
      <ChoiceWord choice={choices.claim} word={steadyWords(study)} />, true is within {study.claim.tolCents}&nbsp;c.
    </p>
  )
}

/** Which preset this is; opens the list of them. */
export function PresetWord() {
  const study = useBench((state) => state.study)
  return (
    <span className="preset-word">
      study <ChoiceWord choice={choices.preset} word={presetOf(study) ?? 'own'} />
    </span>
  )
}

export function StudyLine() {
  const study = useBench((state) => state.study)
  const [open, setOpen] = useState<keyof typeof choices | null>(null)
  const { draft, problem, begin, change, take, apply } = useDraft()
  const rows: readonly (readonly [keyof typeof choices, string])[] = [
    ['preset', presetOf(draft) ?? 'own'],
    ['strings', stringsWords(draft)],
    ['rooms', roomsWords(draft)],
    ['ratios', ratiosWords(draft)],
    ['methods', methodsWords(draft)],
    ['repeats', `${repeatsWords(draft)}, seed ${draft.seed}`],
    ['claim', steadyWords(draft)],
  ]
  return (
    <div className="study-line">
      <p>
        <strong>{stringsWords(study)}</strong> in <strong>{roomsWords(study)}</strong>, {ratiosWords(study)},{' '}
        {methodsWords(study)}, {repeatsWords(study)}
      </p>
      <DialogTrigger
        onOpenChange={(opening) => {
          setOpen(null)
          if (opening) begin()
          else apply()
        }}
      >
        <Button className="word">change</Button>
        <ModalOverlay className="modal-ground" isDismissable>
          <Modal className="modal">
            <Dialog className="dialog">
              {({ close }) => (
                <>
                  <Heading slot="title" level={2}>
                    The study
                  </Heading>
                  <div className="choice-rows">
                    {rows.map(([name, words]) => {
                      const { title, Editor } = choices[name]
                      return (
                        <div key={name} className="choice-row">
                          <button
                            type="button"
                            aria-expanded={open === name}
                            onClick={() => setOpen(open === name ? null : name)}
                          >
                            <span>{title}</span>
                            <strong>{words}</strong>
                          </button>
                          {open === name && (
                            <div className="choice-body">
                              <Editor study={draft} change={change} take={take} />
                            </div>
                          )}
                        </div>
                      )
                    })}
                  </div>
                  <DraftProblem problem={problem} />
                  <div className="dialog-foot sticky">
                    <Button className="button tall" onPress={close}>
                      {problem === null ? `Done: ${trialsWords(draft)}` : 'Close'}
                    </Button>
                  </div>
                </>
              )}
            </Dialog>
          </Modal>
        </ModalOverlay>
      </DialogTrigger>
    </div>
  )
}
