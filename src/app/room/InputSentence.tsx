/** What is listened to, through what, on which instrument: a sentence whose words open their choices. */
import type { Instrument } from '../../core/instruments/instrument.ts'
import { PickWord } from '../instruments/PickWord.tsx'
import { useRoom } from './roomstore.ts'
import { openDevice } from './session.ts'
import { processingWords } from './words.ts'

const paths = ['pickup', 'microphone', 'contact at the headstock', 'pickup, strings ringing', 'pickup, second place']
const channels = [
  { id: 'left', label: 'channel 1' },
  { id: 'right', label: 'channel 2' },
  { id: 'mix', label: 'both channels' },
] as const

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
      <PickWord
        word={input?.label ?? (device.label === '' ? 'the default input' : device.label)}
        label="Input"
        title="Input"
        groups={[
          {
            title: devices.length === 0 ? 'Names are told once the browser may listen.' : null,
            picks: [{ id: '', label: 'The default input' }, ...devices],
            chosen: device.id,
            onPick: (id) => {
              useRoom.setState({ device: devices.find((one) => one.id === id) ?? { id: '', label: '' } })
              reopen()
            },
          },
        ]}
      />
      ,{' '}
      <PickWord
        word={channels.find(({ id }) => id === channel)?.label}
        label="Channel"
        title="Channel"
        groups={[
          {
            title: null,
            picks: channels,
            chosen: channel,
            onPick: (id) => {
              useRoom.setState({ channel: channels.find((one) => one.id === id)?.id ?? 'left' })
              reopen()
            },
          },
        ]}
      />
      {input === null ? (
        '.'
      ) : (
        <>
          , at {input.rateHz.toLocaleString('en-GB').replaceAll(',', '\u202f')} Hz, {processingWords(input.applied)}
          {input.shared ? '' : ', no shared memory (same results)'}.
        </>
      )}
    </p>
  )
}
