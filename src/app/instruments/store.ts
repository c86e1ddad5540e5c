/**
 * The instruments of this browser with their history, and what is looked at. Every change is a step that can be taken back;
 * keeping.ts writes the newest list down.
 */
import { create } from 'zustand'
import type { Instrument } from '../../core/instruments/instrument.ts'
import { parseInstrument } from '../../core/instruments/parse.ts'
import { knownInstruments } from '../../core/instruments/podium.ts'
import { Problem } from '../../core/problem.ts'
import { begun, type History, recorded, redone, settled, undone } from './history.ts'
import { type Changes, noChanges } from './setup.ts'
import { added, blank, duplicated, missingDemo, removed, replaced, type Shelf, takenIn } from './shelf.ts'

/** The second set-up: of another instrument, or (null) of the same one. */
export interface Second extends Changes {
  readonly id: string | null
}

export const noSecond: Second = { ...noChanges, id: null }

/** A sentence that stays until it is put away: nothing typed or dropped may vanish unseen. */
export interface Notice {
  readonly text: string
  /** A kept list that was not understood, to be saved as a file. */
  readonly rest?: string
}

export interface InstrumentsState {
  readonly phase: 'opening' | 'open'
  readonly history: History<Shelf>
  /** Counts undo, redo and lists from elsewhere: half-typed text of an older state is dropped with it. */
  readonly epoch: number
  readonly openId: string
  readonly first: Changes
  readonly second: Second
  /** The second is still the page's own idea: the first change a person asks for takes its place. */
  readonly suggested: boolean
  readonly as: 'charts' | 'table'
  readonly editing: boolean
  /** What was just done, with a way back. */
  readonly said: string | null
  readonly notice: Notice | null
  readonly savedAt: number | null
  readonly storageRefused: boolean
}

const first = knownInstruments[0] ?? blank

export const useInstruments = create<InstrumentsState>(() => ({
  phase: 'opening',
  history: begun<Shelf>(knownInstruments),
  epoch: 0,
  openId: first.id,
  first: noChanges,
  // Half a step down is the change that a technician is asked for most: the page answers it before anybody asks.
  second: { ...noSecond, semitones: -1 },
  suggested: true,
  as: 'charts',
  editing: false,
  said: null,
  notice: null,
  savedAt: null,
  storageRefused: false,
}))

const { getState: get, setState: set } = useInstruments

export const shelfOf = ({ history }: InstrumentsState): Shelf => history.present.value

/** The open instrument; undefined only when the list is empty. */
export function openInstrument(state: InstrumentsState): Instrument | undefined {
  const shelf = shelfOf(state)
  return shelf.find(({ id }) => id === state.openId) ?? shelf[0]
}

function step(shelf: Shelf, what: string, key: string | null = null): void {
  set((state) => ({ history: recorded(state.history, shelf, what, key) }))
}

export const settle = (): void => set((state) => ({ history: settled(state.history) }))

/**
 * Lays `change` over the open instrument as it is now. Changes under one key are one step until `settle`.
 * @throws Problem when the result is no instrument; nothing is changed then.
 */
export function editNow(change: (now: Instrument) => unknown, what: string, key: string | null = null): void {
  const state = get()
  const now = openInstrument(state)
  if (now === undefined) return
  const next = parseInstrument(change(now))
  if (JSON.stringify(now) === JSON.stringify(next)) return
  step(replaced(shelfOf(state), next), `${what} of ${next.title}`, key === null ? null : `${now.id} ${key}`)
  set({ said: null })
}

export function openOne(id: string): void {
  set(({ second, openId }) => ({
    openId: id,
    editing: false,
    said: null,
    first: noChanges,
    // A set with another number of strings would be refused; moved strings fit every instrument.
    second: id === openId ? second : { ...noSecond, semitones: second.semitones },
  }))
}

/** Changes asked for on the second set-up join those that were asked for before. */
export function lookAt(asked: Partial<Second>): void {
  set(({ second, suggested }) => ({
    second: { ...second, ...(suggested ? noChanges : {}), ...asked },
    suggested: false,
    said: null,
  }))
}

export function addNew(): void {
  const { shelf, made } = added(shelfOf(get()), blank, '')
  step(shelf, 'new instrument')
  set({ openId: made.id, editing: true, said: 'New instrument added.', first: noChanges, second: noSecond })
}

export function duplicateOpen(): void {
  const state = get()
  const copy = duplicated(shelfOf(state), openInstrument(state)?.id ?? '')
  if (copy === null) return
  step(copy.shelf, `duplicate, ${copy.made.title}`)
  set({ openId: copy.made.id, said: `${copy.made.title} added. It is the one shown now.` })
}

/** Keeps a set-up that was only looked at as an instrument of its own. */
export function keepSetup(instrument: Instrument, mark: string): void {
  const { shelf, made } = added(shelfOf(get()), instrument, mark)
  step(shelf, `new instrument, ${made.title}`)
  set(({ second }) => ({ second: { ...second, ...noChanges, id: made.id }, said: `${made.title} added to the list.` }))
}

export function removeOpen(): void {
  const state = get()
  const gone = openInstrument(state)
  if (gone === undefined) return
  const shelf = shelfOf(state)
  const at = shelf.indexOf(gone)
  const rest = removed(shelf, gone.id)
  step(rest, `removing ${gone.title}`)
  set(({ second }) => ({
    openId: (rest[at] ?? rest.at(-1))?.id ?? '',
    editing: false,
    first: noChanges,
    second: second.id === gone.id ? noSecond : second,
    said: `${gone.title} removed.`,
  }))
}

export function bringDemoBack(): void {
  const shelf = shelfOf(get())
  step([...shelf, ...missingDemo(shelf)], 'bringing the demo back')
  set({ said: 'The demo is back in the list.' })
}

export function takeIn(incoming: Shelf, fileName: string): void {
  const taken = takenIn(shelfOf(get()), incoming)
  const known = taken.known === 0 ? '' : ` ${taken.known} stood in the list already.`
  if (taken.added > 0) step(taken.shelf, `opening ${fileName}`)
  set({ said: `${fileName}: ${taken.added} added.${known}`, notice: null })
}

/** The list as another tab left it: a step, so that what was here can be had back. */
export function takeOver(shelf: Shelf): void {
  if (JSON.stringify(shelf) === JSON.stringify(shelfOf(get()))) return
  step(shelf, 'changes in another tab')
  set(({ epoch }) => ({ epoch: epoch + 1, said: 'Another tab changed the instruments; this one follows.' }))
}

export function undo(): void {
  move(undone(get().history), (before) => `Undone: ${before.present.what}.`)
}

export function redo(): void {
  move(redone(get().history), (_, after) => `Done again: ${after.present.what}.`)
}

function move(after: History<Shelf>, words: (before: History<Shelf>, after: History<Shelf>) => string): void {
  const { history, openId, second, epoch } = get()
  if (after === history) return
  const has = (shelf: Shelf, id: string): boolean => shelf.some((one) => one.id === id)
  const [old, now] = [history.present.value, after.present.value]
  // What comes back is shown.
  const back = now.find(({ id }) => !has(old, id))
  set({
    history: after,
    epoch: epoch + 1,
    said: words(history, after),
    openId: back?.id ?? (has(now, openId) ? openId : (now[0]?.id ?? '')),
    second: second.id !== null && !has(now, second.id) ? noSecond : second,
  })
}

/** The sentence of whatever was thrown. */
export const sentenceOf = (cause: unknown): string => {
  if (cause instanceof Problem) return cause.sentence
  return cause instanceof Error ? cause.message : String(cause)
}
