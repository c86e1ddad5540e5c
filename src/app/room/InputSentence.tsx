/** What is listened to, through what, on which instrument: a sentence whose words open their choices. */
import type { Instrument } from '../../core/instruments/instrument.ts'
import { PickWord } from '../instruments/PickWord.tsx'
import { InputWords } from './InputWords.tsx'
import { useRoom } from './roomstore.ts'
import { openDevice } from './session.ts'

const paths = ['pickup', 'microphone', 'contact at the headstock', 'pickup, strings ringing', 'pickup, second place']

export function InputSentence(props: { instruments: readonly Instrument[]; onInstrument(id: string): void }) {
  const { instruments, onInstrument } = props
  const { instrument, path, device, devices, channel, input } = useRoom()
  const title = instruments.find(({ id }) => id === instrument)?.title ?? 'no instrument'
  const reopen = (): void => {
    if (input !== null && !input.madeUp) void openDevice()
  }
  return (
    <p className="room-sentence room-input">
      <PickWord
        word={title}
        label="Instrument"
        title="Instrument on the stand"
        groups={[
          {
            title: null,
            picks: instruments.map((one) => ({ id: one.id, label: one.title, note: one.player })),
            chosen: instrument,
            onPick: onInstrument,
          },
        ]}
      />{' '}
      through{' '}
      <PickWord
        word={input?.madeUp === true ? 'nothing: made up' : path}
        label="Path"
        title="Listened through"
        groups={[
          {
            title: null,
            picks: paths.map((one) => ({ id: one, label: one })),
            chosen: path,
            onPick: (id) => useRoom.setState({ path: id }),
          },
        ]}
      />
      , on{' '}
      <InputWords
        {...{ device, devices, channel, input }}
        onChoose={(choice) => {
          useRoom.setState(choice)
          reopen()
        }}
      />
      .
    </p>
  )
}
