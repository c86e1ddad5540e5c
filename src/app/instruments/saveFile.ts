/** Hands the instruments to the person as a file that can be opened again. */
import type { Instrument } from '../../core/instruments/instrument.ts'
import { instrumentsJson } from '../../core/instruments/parse.ts'

export const textOfInstruments = (instruments: readonly Instrument[]): string =>
  `${JSON.stringify(instrumentsJson(instruments), null, 2)}\n`

export function saveText(name: string, text: string): void {
  const url = URL.createObjectURL(new Blob([text], { type: 'application/json' }))
  const link = document.createElement('a')
  link.href = url
  link.download = name
  link.click()
  // The browser reads the blob after the click returns.
  setTimeout(() => URL.revokeObjectURL(url), 10_000)
}
