/** Whose peg is turned, heard through what: a sentence whose words open their choices. */
import type { Instrument } from '../../core/instruments/instrument.ts'
import { PickWord } from '../instruments/PickWord.tsx'
import { InputWords } from '../room/InputWords.tsx'
import { type HandString, useHand } from './handstore.ts'
import { chooseString, openInput } from './session.ts'

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
      <InputWords
        {...{ device, devices, channel, input }}
        onChoose={(choice) => {
          useHand.setState(choice)
          reopen()
        }}
      />
      .
    </p>
  )
}
