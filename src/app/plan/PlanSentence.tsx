/** What the plan is for, as a sentence whose words open their choices. */
import { type ReactNode, useEffect, useState } from 'react'
import { Button, Dialog, DialogTrigger, Heading, Popover } from 'react-aria-components'
import { handFields } from '../../core/plan/hand.ts'
import { knownRooms, roomById } from '../../core/study/presets.ts'
import { signedDb } from '../bench/figures.ts'
import { useOffered } from '../choices/instruments.ts'
import { asRoom, recorded } from '../choices/recorded.ts'
import { FieldInput } from '../choices/Ticks.tsx'
import { PickWord } from '../instruments/PickWord.tsx'
import { restorePicked } from '../run/recordings.ts'
import { type PlanChoices, planFields } from './choices.ts'
import { choose } from './session.ts'
import { usePlan } from './store.ts'
import { cents, countWord } from './words.ts'

/** Offered for recording beside those that are there, dB. */
const usualRatios = [-10, -5, 0, 5, 10, 15, 20, 30]

export function PlanSentence() {
  const choices = usePlan((state) => state.choices)
  const loaded = usePlan((state) => state.loaded)
  const offered = useOffered()
  const [, setRestored] = useState(false)
  useEffect(() => void restorePicked().then(() => setRestored(true)), [])
  const { instrument, room, snrDb, snrsDb, bridge, hand } = choices
  const chosen = offered.find(({ instrument: one }) => one.id === instrument.id)
  const strings = chosen?.strings.length ?? 0
  const named = knownRooms.map(({ id, title }) => ({ id, label: id, note: title }))
  const own = recorded('noise').map((entry) => ({
    id: entry.id,
    label: entry.title,
    note: entry.picked ? 'Recorded here.' : 'Recorded, shipped with the page.',
  }))
  const inFile = loaded?.rooms.map(({ id }) => ({ id, label: id })) ?? []
  const pickRoom = (id: string): void => {
    const entry = recorded('noise').find((one) => one.id === id)
    const loadedRoom = loaded?.rooms.find((one) => one.id === id)
    choose({ room: loadedRoom ?? (entry === undefined ? roomById(id) : asRoom(entry)) })
  }
  const title = own.find(({ id }) => id === room.id)?.label ?? room.id
  return (
    <p className="sentence plan-sentence">
      Tune{' '}
      <PickWord
        word={instrument.title}
        label="Instrument"
        title="Instrument"
        groups={[
          {
            title: null,
            chosen: instrument.id,
            picks: offered.map(({ instrument: one, invented }) => ({
              id: one.id,
              label: one.title,
              note: invented ? `Demo, invented. ${one.player}` : one.player,
            })),
            onPick: (id) => {
              const next = offered.find(({ instrument: one }) => one.id === id)?.instrument
              if (next !== undefined) choose({ instrument: next, withinCents: next.toleranceCents })
            },
          },
        ]}
      />
      {strings > 0 && `, all ${countWord(strings)} strings`}, in{' '}
      <PickWord
        word={title}
        label="Room"
        title="Room"
        groups={[
          { title: 'In the file', picks: inFile },
          { title: 'Made by the page: invented, no measured place', picks: loaded === null ? named : [] },
          { title: 'Recorded', picks: loaded === null ? own : [] },
        ]
          .filter(({ picks }) => picks.length > 0)
          .map((group) => ({ ...group, chosen: room.id, onPick: pickRoom }))}
      />{' '}
      at{' '}
      <PickWord
        word={`${signedDb(snrDb)} dB`}
        label="String over room"
        title="String over room in the first second"
        groups={ratioGroups(choices, loaded === null)}
      />
      . The bridge is{' '}
      <PickWord
        word={bridge}
        label="Bridge"
        title="Bridge"
        groups={[
          {
            title: null,
            chosen: bridge,
            picks: [
              { id: 'fixed', label: 'fixed', note: 'The other strings hardly move.' },
              { id: 'floating', label: 'floating', note: 'It rests on springs: raise one string and the others fall.' },
            ],
            onPick: (id) => choose({ bridge: id === 'floating' ? 'floating' : 'fixed' }),
          },
        ]}
      />
      . Strings start{' '}
      <EditWord word={startWords(choices)} title="Where the strings stand when the work begins">
        <FieldInput
          title="On average"
          field={handFields.startMeanCents}
          value={hand.startMeanCents}
          step={1}
          onValue={(startMeanCents) => choose({ hand: { ...hand, startMeanCents } })}
        />
        <FieldInput
          title="Apart"
          field={handFields.startSdCents}
          value={hand.startSdCents}
          step={1}
          onValue={(startSdCents) => choose({ hand: { ...hand, startSdCents } })}
        />
      </EditWord>
      . Wanted:{' '}
      <EditWord word={`${Math.round(100 * choices.wantedChance)} runs of 100`} title="How often it has to end so">
        <FieldInput
          title="Wanted chance"
          field={planFields.wantedChance}
          value={choices.wantedChance}
          step={0.05}
          onValue={(wantedChance) => choose({ wantedChance })}
        />
      </EditWord>
      .<span className="unseen">Recorded at {snrsDb.join(', ')} dB.</span>
    </p>
  )
}

function ratioGroups({ snrDb, snrsDb }: PlanChoices, canRecord: boolean) {
  const pick = (ratio: number) => ({ id: `${ratio}`, label: `${signedDb(ratio)} dB` })
  const fresh = usualRatios.filter((ratio) => !snrsDb.includes(ratio))
  const there = {
    title: 'Recorded',
    picks: snrsDb.map(pick),
    chosen: `${snrDb}`,
    onPick: (id: string) => choose({ snrDb: Number(id) }),
  }
  const more = {
    title: 'Record too',
    picks: fresh.map(pick),
    chosen: '',
    onPick: (id: string) => choose({ snrDb: Number(id), snrsDb: [...snrsDb, Number(id)].sort((a, b) => a - b) }),
  }
  return canRecord ? [there, more] : [there]
}

export function startWords({ hand: { startMeanCents, startSdCents } }: PlanChoices): string {
  const off =
    startMeanCents === 0 ? 'in tune' : `${cents(Math.abs(startMeanCents))} c ${startMeanCents < 0 ? 'flat' : 'sharp'}`
  return `${off}, ±${cents(startSdCents)} c`
}

/** A bold dotted word that opens a few fields. */
export function EditWord(props: { word: string; title: string; children: ReactNode }) {
  return (
    <DialogTrigger>
      <Button className="word">{props.word}</Button>
      <Popover className="popover" placement="bottom start" offset={2}>
        <Dialog className="dialog">
          <Heading slot="title" level={2}>
            {props.title}
          </Heading>
          {props.children}
        </Dialog>
      </Popover>
    </DialogTrigger>
  )
}
