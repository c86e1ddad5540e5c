/** Rooms by name: what each is, what it is made of, how it sounds, and what is plucked in it. */
import { Button } from 'react-aria-components'
import { knownRooms, roomById, stringById } from '../../core/study/presets.ts'
import type { Study, StudyRoom } from '../../core/study/study.ts'
import type { EditorProps } from '../choices/editors.tsx'
import { FilePicker } from '../choices/FilePicker.tsx'
import { asRoom, recorded } from '../choices/recorded.ts'
import { Chips, TickOne } from '../choices/Ticks.tsx'
import '../style/trial.css'
import { Caution, Level } from '../trial/HearIt.tsx'
import { madeOf } from './madeOf.ts'
import { previewS } from './preview.ts'
import { type RoomSound, useRoomSound } from './useRoomSound.ts'
import { variantsOf, variantWords, withVariants } from './variants.ts'

interface Offer {
  readonly plain: StudyRoom
  readonly name: string
  readonly title: string
  readonly made: string
}

const named: readonly Offer[] = knownRooms.map(({ id, title }) => {
  const plain = roomById(id)
  return { plain, name: id, title: `${title}.`, made: madeOf(plain) }
})

export function RoomsEditor({ study, change }: EditorProps) {
  const sound = useRoomSound()
  const taken: readonly Offer[] = recorded('noise').map((entry) => ({
    plain: asRoom(entry),
    name: entry.title,
    title: entry.picked ? 'Your file.' : 'Recorded, shipped with the page.',
    made: 'Made of the recording, looped.',
  }))
  const order = [...named, ...taken].map(({ plain }) => plain.id)
  const string = study.strings[0] ?? stringById('E2')
  const group = (title: string, offers: readonly Offer[]) => (
    <section>
      <h3 className="tick-title">{title}</h3>
      {offers.map((offer) => (
        <RoomRow
          key={offer.plain.id}
          offer={offer}
          study={study}
          sound={sound}
          onHear={() => sound.press(offer.plain.id, { ...study, strings: [string], rooms: [offer.plain] })}
          onVariants={(variants) => change({ rooms: withVariants(study.rooms, offer.plain, variants, order) })}
        />
      ))}
    </section>
  )
  return (
    <>
      <p className="quiet">
        Heard for {previewS} s: the room by itself, then {string.id} plucked in it, as loud as the room. A room can also
        be run with no string, where every claim is false, or with the wrong string, where every claim of an aimed
        method is.
      </p>
      <div className="room-level">
        <Caution hearing={sound} asking />
        <Level hearing={sound} />
      </div>
      {sound.problem !== null && (
        <p className="problem" role="alert">
          {sound.problem}
        </p>
      )}
      {group('Made by the page: invented, no measured place', named)}
      {taken.length > 0 && group('Recorded', taken)}
      <FilePicker use="noise" onPicked={(entry) => change({ rooms: [...study.rooms, asRoom(entry)] })} />
    </>
  )
}

function RoomRow(props: {
  offer: Offer
  study: Study
  sound: RoomSound
  onHear(): void
  onVariants(variants: readonly StudyRoom['variant'][]): void
}) {
  const { offer, study, sound, onHear, onVariants } = props
  const { plain, name, title, made } = offer
  const variants = variantsOf(study.rooms, plain.id)
  const heard = sound.busy === plain.id
  return (
    <div className="room-row">
      <TickOne
        label={name}
        note={`${title} ${made}`}
        ticked={variants.length > 0}
        onTick={(ticked) => onVariants(ticked ? ['string'] : [])}
      />
      <Button
        className="button"
        data-hear={plain.id}
        aria-label={heard ? `Stop ${name}` : `Hear ${name}`}
        onPress={onHear}
      >
        {heard ? 'Stop' : 'Hear'}
      </Button>
      {variants.length > 0 && (
        <Chips
          title={`In ${name}`}
          titleUnseen
          options={variantWords.map(({ variant, word }) => ({ id: variant, label: word }))}
          ticked={variants}
          onTick={(ticked) =>
            onVariants(variantWords.map(({ variant }) => variant).filter((variant) => ticked.includes(variant)))
          }
        />
      )}
    </div>
  )
}
