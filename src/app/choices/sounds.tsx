/** Which strings sound, and in which rooms: made by the page, recorded and shipped with it, or read from a file. */
import { knownRooms, knownStrings, roomById, stringById } from '../../core/study/presets.ts'
import type { StudyRoom, StudyString, Variant } from '../../core/study/study.ts'
import { type Listed, pickedRecordings, shipped } from '../run/recordings.ts'
import type { EditorProps } from './editors.tsx'
import { FilePicker } from './FilePicker.tsx'
import { TickList, TickOne } from './Ticks.tsx'

const asString = ({ id, targetHz }: Listed): StudyString => ({ id, targetHz, pluck: {}, recording: id })

const asRoom = ({ id }: Listed): StudyRoom => ({
  id,
  parts: [{ id: 'recorded', levelDb: 0, values: {}, recording: id }],
  variant: 'string',
})

const recorded = (use: Listed['use']): readonly Listed[] =>
  [...shipped, ...pickedRecordings()].filter((entry) => entry.use === use)

export function StringsEditor({ study, change }: EditorProps) {
  const recordings = recorded('string')
  const setIds = (ids: readonly string[]): void => {
    const now = new Map(study.strings.map((string) => [string.id, string]))
    const made = (id: string): StudyString => {
      const recording = recordings.find((entry) => entry.id === id)
      return now.get(id) ?? (recording === undefined ? stringById(id) : asString(recording))
    }
    const order = [...knownStrings.map((string) => string.id), ...recordings.map((entry) => entry.id)]
    change({ strings: [...ids].sort((a, b) => order.indexOf(a) - order.indexOf(b)).map(made) })
  }
  const ticked = study.strings.map((string) => string.id)
  return (
    <>
      <TickList
        title="Made by the page: pitch exactly known"
        pairs
        options={knownStrings.map(({ id, title }) => ({ id, label: title }))}
        ticked={ticked}
        onTick={setIds}
      />
      <TickList
        title="Recorded: pitch not known better than a cent or two"
        pairs
        options={recordings.map(({ id, title, picked }) => ({
          id,
          label: title,
          ...(picked ? { note: 'your file' } : {}),
        }))}
        ticked={ticked}
        onTick={setIds}
      />
      <FilePicker use="string" onPicked={(entry) => change({ strings: [...study.strings, asString(entry)] })} />
    </>
  )
}

export function RoomsEditor({ study, change }: EditorProps) {
  const recordings = recorded('noise')
  const bases = [...new Set(study.rooms.map((room) => room.id.split('/')[0] ?? ''))]
  const has = (variant: Variant): boolean => study.rooms.some((room) => room.variant === variant)
  const setRooms = (ids: readonly string[], noString: boolean, wrongString: boolean): void => {
    const order = [...knownRooms.map((room) => room.id), ...recordings.map((entry) => entry.id)]
    const plain = [...ids]
      .sort((a, b) => order.indexOf(a) - order.indexOf(b))
      .map((id): StudyRoom => {
        const recording = recordings.find((entry) => entry.id === id)
        const now = study.rooms.find((room) => room.id === id)
        return now ?? (recording === undefined ? roomById(id) : asRoom(recording))
      })
    const varied = (variant: Variant, wanted: boolean): StudyRoom[] =>
      wanted ? plain.map((room) => ({ ...room, id: `${room.id}/${variant}`, variant })) : []
    change({ rooms: [...plain, ...varied('no-string', noString), ...varied('wrong-string', wrongString)] })
  }
  const set = (ids: readonly string[]): void => setRooms(ids, has('no-string'), has('wrong-string'))
  return (
    <>
      <TickList
        title="Made by the page"
        options={knownRooms.map(({ id, title }) => ({ id, label: id, note: title }))}
        ticked={bases}
        onTick={set}
      />
      <TickList
        title="Recorded"
        options={recordings.map(({ id, title, picked }) => ({
          id,
          label: title,
          ...(picked ? { note: 'your file' } : {}),
        }))}
        ticked={bases}
        onTick={set}
      />
      <FilePicker use="noise" onPicked={(entry) => change({ rooms: [...study.rooms, asRoom(entry)] })} />
      <div>
        <TickOne
          label="Also with no string"
          note="Each room alone, as loud as it would be: every claim there is false."
          ticked={has('no-string')}
          onTick={(ticked) => setRooms(bases, ticked, has('wrong-string'))}
        />
        <TickOne
          label="Also with the wrong string"
          note="Another string is plucked than the one aimed at: every claim of an aimed method is false."
          ticked={has('wrong-string')}
          onTick={(ticked) => setRooms(bases, has('no-string'), ticked)}
        />
      </div>
    </>
  )
}
