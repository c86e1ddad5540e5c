/**
 * The list of instruments as a value: duplicate, new, remove, take in a file, bring the demo back. Ids stay unique and never
 * change once given; nothing that was in the list is overwritten by a file.
 */
import { type Instrument, instrumentFields, kindDefaults } from '../../core/instruments/instrument.ts'
import { parseInstruments } from '../../core/instruments/parse.ts'
import { knownInstruments } from '../../core/instruments/podium.ts'
import { Problem } from '../../core/problem.ts'

export type Shelf = readonly Instrument[]

const demoIds = new Set(knownInstruments.map(({ id }) => id))

/** Whether it came with the page: invented, even if it was changed since. */
export const isDemo = ({ id }: Instrument): boolean => demoIds.has(id)

/** `wish`, or the first of "wish-2", "wish-3" that is free. Ids of the demo are never given to anything else. */
export function freeId(shelf: Shelf, wish: string): string {
  const taken = new Set([...demoIds, ...shelf.map(({ id }) => id)])
  const stem = wish.replace(/-\d+$/, '')
  if (!taken.has(wish)) return wish
  let number = 2
  while (taken.has(`${stem}-${number}`)) number += 1
  return `${stem}-${number}`
}

/** "Rhythm electric, copy", then "Rhythm electric, copy 2". */
function freeTitle(shelf: Shelf, title: string, mark: string): string {
  const taken = new Set(shelf.map((one) => one.title))
  const stem = `${title}, ${mark}`
  if (!taken.has(stem)) return stem
  let number = 2
  while (taken.has(`${stem} ${number}`)) number += 1
  return `${stem} ${number}`
}

/** The copy stands right behind its original. */
export function duplicated(shelf: Shelf, id: string): { shelf: Shelf; made: Instrument } | null {
  const at = shelf.findIndex((one) => one.id === id)
  const original = shelf[at]
  if (original === undefined) return null
  const made = { ...original, id: freeId(shelf, original.id), title: freeTitle(shelf, original.title, 'copy') }
  return { shelf: [...shelf.slice(0, at + 1), made, ...shelf.slice(at + 1)], made }
}

/** `instrument` (another set-up of a known one) under an id and a title of its own, at the end. */
export function added(shelf: Shelf, instrument: Instrument, mark: string): { shelf: Shelf; made: Instrument } {
  const made = {
    ...instrument,
    id: freeId(shelf, instrument.id),
    title: mark === '' ? instrument.title : freeTitle(shelf, instrument.title, mark),
  }
  return { shelf: [...shelf, made], made }
}

/** What a new instrument is until somebody says otherwise: the commonest there is. */
export const blank: Instrument = {
  id: 'own-1',
  title: 'New instrument',
  player: '',
  kind: 'electric',
  scaleMm: kindDefaults.electric.scaleMm,
  gauges: '10-46',
  tuning: 'standard',
  referenceHz: instrumentFields.referenceHz.default,
  capo: null,
  toleranceCents: kindDefaults.electric.toleranceCents,
  peg: {},
  notes: '',
}

export const removed = (shelf: Shelf, id: string): Shelf => shelf.filter((one) => one.id !== id)

export const replaced = (shelf: Shelf, next: Instrument): Shelf => shelf.map((one) => (one.id === next.id ? next : one))

/** Instruments of the demo that are not in the list. */
export const missingDemo = (shelf: Shelf): Shelf =>
  knownInstruments.filter(({ id }) => !shelf.some((one) => one.id === id))

export interface Taken {
  readonly shelf: Shelf
  readonly added: number
  /** Those of the file that stand in the list already, word for word. */
  readonly known: number
}

/** A file's instruments behind those that are there; one whose id is taken by another instrument gets a new id. */
export function takenIn(shelf: Shelf, incoming: Shelf): Taken {
  let [result, known]: [Shelf, number] = [shelf, 0]
  for (const instrument of incoming) {
    const same = result.find(({ id }) => id === instrument.id)
    if (same !== undefined && JSON.stringify(same) === JSON.stringify(instrument)) known += 1
    else if (same === undefined) result = [...result, instrument]
    else {
      const title = result.some((one) => one.title === instrument.title)
        ? freeTitle(result, instrument.title, 'from file')
        : instrument.title
      result = [...result, { ...instrument, id: freeId(result, instrument.id), title }]
    }
  }
  return { shelf: result, added: result.length - shelf.length, known }
}

/** @throws Problem whose place begins with the file's name. */
export function instrumentsOfFile(text: string, fileName: string): Shelf {
  let json: unknown
  try {
    json = JSON.parse(text)
  } catch (cause) {
    const how = cause instanceof Error ? ` (${cause.message})` : ''
    throw new Problem(text.trim() === '' ? 'the file is empty' : `is no JSON${how}`, fileName)
  }
  try {
    return parseInstruments(json)
  } catch (cause) {
    if (cause instanceof Problem) throw new Problem(cause.sentence, fileName)
    throw cause
  }
}
