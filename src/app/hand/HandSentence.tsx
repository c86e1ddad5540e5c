/** Whose peg is turned, heard through what: a sentence whose words open their choices. */
import type { Instrument } from '../../core/instruments/instrument.ts'
import { PickWord } from '../instruments/PickWord.tsx'
import { processingWords } from '../room/words.ts'
import { type HandString, useHand } from './handstore.ts'
import { chooseString, openInput } from './session.ts'

const channels = [
  { id: 'left', label: 'channel 1' },
  { id: 'right', label: 'channel 2' },
  { id: 'mix', label: 'both channels' },
] as const

export function HandSentence(props: {
  instruments: readonly Instrument[]
  instrument: Instrument | null
  onInstrument(id: string): void
  strings: readonly HandString[]
  string: HandString
}) {
  const { instruments, instrument, onInstrument, strings, string } = props
  const { device, devices, channel, input } = useHand()
  const reopen = (): void => {
    if (input !== null) void openInput()
  }
  return (
    <p className="hand-sentence">
      <PickWord
        word={instrument?.title ?? 'no instrument'}
        label="Instrument"
        title="Instrument whose peg is turned"
        groups={[
          {
            title: null,
            picks: instruments.map((one) => ({ id: one.id, label: one.title, note: one.player })),
            chosen: instrument?.id ?? '',
            onPick: onInstrument,
          },
        ]}
      />
      ,{' '}
      <PickWord
        word={`the ${string.title} string`}
        label="String"
        title="String whose peg is turned"
        groups={[
          {
            title: null,
            picks: strings.map((one) => ({
              id: one.id,
              label: one.title,
              note: `${one.centsPerDegree.toFixed(1)} c a degree`,
            })),
            chosen: string.id,
            onPick: (id) => {
              const one = strings.find((peg) => peg.id === id)
              if (one !== undefined) chooseString(one)
            },
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
              useHand.setState({ device: devices.find((one) => one.id === id) ?? { id: '', label: '' } })
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
              useHand.setState({ channel: channels.find((one) => one.id === id)?.id ?? 'left' })
              reopen()
            },
          },
        ]}
      />
      {input !== null && (
        <>
          , at {input.rateHz.toLocaleString('en-GB').replaceAll(',', '\u202f')} Hz, {processingWords(input.applied)}
          {input.shared ? '' : ', no shared memory (same results)'}
        </>
      )}
      .
    </p>
  )
}
