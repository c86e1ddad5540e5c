/** A word that opens the list of everything the open study takes for granted. */
import { useMemo } from 'react'
import { Button, Dialog, DialogTrigger, Heading, Modal, ModalOverlay } from 'react-aria-components'
import { type Assumption, assumptionGroups, assumptionsOf } from '../../core/study/assumptions.ts'
import type { Study } from '../../core/study/study.ts'
import { counted } from '../bench/figures.ts'
import { useBench } from '../store.ts'
import { valueWords, whoseWords } from './words.ts'

const titles: Readonly<Record<Assumption['group'], string>> = {
  strings: 'Strings',
  rooms: 'Rooms',
  sensors: 'Sensors',
  neighbours: 'Other strings that ring',
  bodies: 'Bodies',
}

export function AssumptionsWord() {
  return (
    <DialogTrigger>
      <Button className="word assumptions-word">assumptions</Button>
      <ModalOverlay className="modal-ground" isDismissable>
        <Modal className="modal wide">
          <Dialog className="dialog">
            {({ close }) => (
              <>
                <Heading slot="title" level={2}>
                  Assumptions
                </Heading>
                <Lists />
                <div className="dialog-foot sticky">
                  <Button className="button" onPress={close}>
                    Close
                  </Button>
                </div>
              </>
            )}
          </Dialog>
        </Modal>
      </ModalOverlay>
    </DialogTrigger>
  )
}

function Lists() {
  const study = useBench((state) => state.study)
  const all = useMemo(() => assumptionsOf(study), [study])
  if (all.length === 0) return <p>This study takes nothing for granted that could be listed.</p>
  return (
    <>
      <p className="quiet">
        {counted(all.length, 'value')} in this study {all.length === 1 ? 'was' : 'were'} not measured on the very
        instrument or in the very place. Results hold as far as these do.
      </p>
      {assumptionGroups.map((group) => (
        <Group key={group} study={study} title={titles[group]} list={all.filter((one) => one.group === group)} />
      ))}
    </>
  )
}

function Group({ study, title, list }: { study: Study; title: string; list: readonly Assumption[] }) {
  if (list.length === 0) return null
  return (
    <section>
      <h3 className="tick-title">{title}</h3>
      <ul className="assumptions">
        {list.map((one) => (
          <li key={`${one.name} ${one.unit} ${one.value} ${one.source}`}>
            <span>{one.name}</span>
            <strong>{valueWords(one)}</strong>
            <span className="notes">
              {whoseWords(one, study)} · {one.source}
            </span>
          </li>
        ))}
      </ul>
    </section>
  )
}
