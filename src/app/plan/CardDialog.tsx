/** The card as it will be printed, on its paper, with the two sizes. */
import { useState } from 'react'
import { Button, Dialog, DialogTrigger, Heading, Modal, ModalOverlay } from 'react-aria-components'
import type { PlanSide } from './answer.ts'
import { Card, type Paper } from './Card.tsx'
import type { PlanChoices } from './choices.ts'

const papers: readonly Paper[] = ['a6', 'a4']

export function CardDialog(props: {
  side: PlanSide
  choices: PlanChoices
  plucks: number
  from: string | null
  paper: Paper
  onPaper(paper: Paper): void
}) {
  const { paper, onPaper, ...card } = props
  const [open, setOpen] = useState(false)
  return (
    <DialogTrigger isOpen={open} onOpenChange={setOpen}>
      <Button className="button main">Show the card</Button>
      <ModalOverlay className="modal-ground" isDismissable>
        <Modal className="modal plan-card-modal">
          <Dialog className="dialog">
            <Heading slot="title" level={2}>
              The card
            </Heading>
            <div className="plan-buttons">
              {papers.map((one) => (
                <button
                  key={one}
                  type="button"
                  className="button"
                  aria-pressed={one === paper}
                  onClick={() => onPaper(one)}
                >
                  {one.toUpperCase()}
                </button>
              ))}
              <button type="button" className="button main" onClick={() => window.print()}>
                Print
              </button>
              <Button slot="close" className="button">
                Close
              </Button>
            </div>
            {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a part that scrolls has to be reached by key. */}
            <section className="plan-paper" tabIndex={0} aria-label="The card as it is printed">
              <Card {...card} paper={paper} />
            </section>
          </Dialog>
        </Modal>
      </ModalOverlay>
    </DialogTrigger>
  )
}
