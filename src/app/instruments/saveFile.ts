/** Hands the instruments to the person as a file that can be opened again. */
import type { Instrument } from '../../core/instruments/instrument.ts'
import { instrumentsJson } from '../../core/instruments/parse.ts'
import { saveFile } from '../savefile.ts'

export const textOfInstruments = (instruments: readonly Instrument[]): string =>
  `${JSON.stringify(instrumentsJson(instruments), null, 2)}\n`

export const saveText = (name: string, text: string): void => saveFile(name, 'application/json', [text])
