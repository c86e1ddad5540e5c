/** The demo: instruments of an invented travelling circus, from signals/instruments.json. */
import podium from '../../../signals/instruments.json'
import { Problem } from '../problem.ts'
import type { Instrument } from './instrument.ts'
import { parseInstruments } from './parse.ts'

export const podiumTitle: string = podium.title

/** Says that all of it is invented. */
export const podiumNote: string = podium.note

export const knownInstruments: readonly Instrument[] = parseInstruments(podium)

/** @throws Problem that lists the known ids. */
export function instrumentById(id: string, where = 'instrument'): Instrument {
  const found = knownInstruments.find((instrument) => instrument.id === id)
  if (found === undefined)
    throw new Problem(`no instrument "${id}"; known are ${knownInstruments.map((entry) => entry.id).join(', ')}`, where)
  return found
}
