/** A bold dotted word that opens a list to choose from. */
import { type ReactNode, useState } from 'react'
import { Button, Dialog, DialogTrigger, Heading, Popover } from 'react-aria-components'

export interface Pick {
  readonly id: string
  readonly label: string
  readonly note?: string
}

export interface PickGroup {
  readonly title: string | null
  readonly picks: readonly Pick[]
  readonly chosen: string
  onPick(id: string): void
}

export function PickWord(props: { word: ReactNode; label: string; title: string; groups: readonly PickGroup[] }) {
  const { word, label, title, groups } = props
  const [open, setOpen] = useState(false)
  return (
    <DialogTrigger isOpen={open} onOpenChange={setOpen}>
      <Button className="word">
        <span className="unseen">{label}: </span>
        {word}
      </Button>
      <Popover className="popover pick-popover" placement="bottom start" offset={2}>
        <Dialog className="dialog">
          <Heading slot="title" level={2}>
            {title}
          </Heading>
          {groups.map((group) => (
            <div key={group.title ?? ''} className="pick-group">
              {group.title !== null && <h3>{group.title}</h3>}
              {group.picks.map((pick) => (
                <button
                  key={pick.id}
                  type="button"
                  className={pick.id === group.chosen ? 'pick bracketed' : 'pick'}
                  aria-pressed={pick.id === group.chosen}
                  onClick={() => {
                    group.onPick(pick.id)
                    setOpen(false)
                  }}
                >
                  {pick.label}
                  {pick.note !== undefined && <span className="notes">{pick.note}</span>}
                </button>
              ))}
            </div>
          ))}
        </Dialog>
      </Popover>
    </DialogTrigger>
  )
}
