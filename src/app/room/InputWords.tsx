/** Which input and channel are listened to, words that open their choices; while one is open, what it gives. */
import type { Channel } from '../../host/messages.ts'
import { PickWord } from '../instruments/PickWord.tsx'
import { defaultInput, type HeardInput, type InputState } from './inputstate.ts'
import { processingWords } from './words.ts'

const channels: readonly { readonly id: Channel; readonly label: string }[] = [
  { id: 'left', label: 'channel 1' },
  { id: 'right', label: 'channel 2' },
  { id: 'mix', label: 'both channels' },
]

export interface InputWordsProps extends Pick<InputState<HeardInput>, 'device' | 'devices' | 'channel' | 'input'> {
  onChoose(choice: Partial<Pick<InputState<HeardInput>, 'device' | 'channel'>>): void
}

export function InputWords({ device, devices, channel, input, onChoose }: InputWordsProps) {
  return (
    <>
      <PickWord
        word={input?.label ?? (device.label === '' ? 'the default input' : device.label)}
        label="Input"
        title="Input"
        groups={[
          {
            title: devices.length === 0 ? 'Names are told once the browser may listen.' : null,
            picks: [{ id: '', label: 'The default input' }, ...devices],
            chosen: device.id,
            onPick: (id) => onChoose({ device: devices.find((one) => one.id === id) ?? defaultInput }),
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
            onPick: (id) => onChoose({ channel: channels.find((one) => one.id === id)?.id ?? 'left' }),
          },
        ]}
      />
      {input !== null && (
        <>
          , at {input.rateHz.toLocaleString('en-GB').replaceAll(',', '\u202f')} Hz, {processingWords(input.applied)}
          {input.shared ? '' : ', no shared memory (same results)'}
        </>
      )}
    </>
  )
}
