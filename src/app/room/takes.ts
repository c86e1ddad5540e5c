/**
 * The room takes of this browser, and the one under way. Samples live here, in memory, until the page closes, whether or not
 * the browser keeps them: a full disk loses nothing that was taken. Once the browser said that it keeps no more, nothing is
 * written until a take is removed. The list is what a page shows; samples are asked for.
 */
import { create } from 'zustand'
import { saveFile } from '../savefile.ts'
import {
  bytesLeft,
  dropTake,
  type Kept,
  keepHead,
  keepPart,
  keptHeads,
  type OpenedTake,
  openKept,
} from './keeptakes.ts'
import { type RoomTake, sha256, type TakeHead, type TakePart } from './take.ts'
import { takeOfZip, zipOfTake } from './takezip.ts'

export interface TakesState {
  /** Newest first. */
  readonly heads: readonly TakeHead[]
  /** Takes of which something is in memory only. */
  readonly unkept: readonly string[]
  /** How the last writing went; null: nothing was written yet. */
  readonly kept: Kept | null
  /** For the person, about; NaN: unknown. */
  readonly bytesLeft: number
}

export const useTakes = create<TakesState>(() => ({ heads: [], unkept: [], kept: null, bytesLeft: Number.NaN }))

const memory = new Map<string, Map<string, Float32Array>>()
let started: Promise<void> | undefined

/** Reads what was kept on earlier visits; once a page. */
export function startTakes(): Promise<void> {
  started ??= Promise.all([keptHeads(), bytesLeft()]).then(([heads, left]) => {
    useTakes.setState(({ heads: own }) => ({
      heads: [...own, ...heads.filter(({ id }) => own.every((one) => one.id !== id))],
      bytesLeft: left,
    }))
  })
  return started
}

export type TakeWish = Pick<
  TakeHead,
  'title' | 'sampleRateHz' | 'instrument' | 'path' | 'processed' | 'madeUp' | 'version'
>

/** An empty take, first in the list; nothing is written until its first part. */
export function beginTake(wish: TakeWish, now = new Date()): TakeHead {
  const base = now.toISOString().slice(0, 19).replace(/[-:]/g, '').replace('T', '-')
  const taken = new Set(useTakes.getState().heads.map(({ id }) => id))
  let id = `take-${base}`
  for (let again = 2; taken.has(id); again++) id = `take-${base}-${again}`
  const head: TakeHead = { schema: 1, id, madeAt: now.toISOString(), parts: [], ...wish }
  memory.set(id, new Map())
  useTakes.setState(({ heads }) => ({ heads: [head, ...heads] }))
  return head
}

export type PartWish = Omit<TakePart, 'sha256' | 'samples'>

/** Adds a part, or replaces the one of that name, in memory first and then on disk. Owns `samples` from here on. */
export async function addPart(id: string, wish: PartWish, samples: Float32Array): Promise<Kept> {
  const own = memory.get(id) ?? new Map<string, Float32Array>()
  memory.set(id, own.set(wish.name, samples))
  const part: TakePart = { ...wish, samples: samples.length, sha256: await sha256(samples) }
  const head = changeHead(id, (old) => ({
    ...old,
    parts: [...old.parts.filter(({ name }) => name !== part.name), part],
  }))
  if (head === undefined) return 'refused'
  return written(id, () => keepPart(head, part, samples))
}

export async function renameTake(id: string, words: Partial<Pick<TakeHead, 'title' | 'path'>>): Promise<Kept> {
  const head = changeHead(id, (old) => ({ ...old, ...words }))
  return head === undefined ? 'refused' : written(id, () => keepHead(head))
}

/** From memory or, of an earlier visit, from the disk; null: it is gone. */
export async function takeById(id: string): Promise<OpenedTake | null> {
  const head = useTakes.getState().heads.find((one) => one.id === id)
  const own = memory.get(id)
  if (head !== undefined && own !== undefined && head.parts.every(({ name }) => own.has(name))) {
    return { head, samples: own, damaged: [] }
  }
  const opened = await openKept(id)
  if (opened !== null) memory.set(id, new Map([...opened.samples, ...(own ?? [])]))
  return opened
}

export async function removeTake(id: string): Promise<void> {
  memory.delete(id)
  useTakes.setState(({ heads, unkept }) => ({
    heads: heads.filter((one) => one.id !== id),
    unkept: unkept.filter((one) => one !== id),
  }))
  if ((await dropTake(id)) === 'kept') await keepAgain()
  useTakes.setState({ bytesLeft: await bytesLeft() })
}

/** There may be room again: what is in memory only is tried once more. */
async function keepAgain(): Promise<void> {
  const { heads, unkept } = useTakes.getState()
  useTakes.setState({ kept: null })
  for (const head of heads.filter(({ id }) => unkept.includes(id))) {
    if ((await written(head.id, () => keepWhole(head))) !== 'kept') return
    useTakes.setState((now) => ({ unkept: now.unkept.filter((id) => id !== head.id) }))
  }
}

/** Part by part, each with a head that names no more than is there. Of an earlier visit's take only the head is in memory. */
async function keepWhole(head: TakeHead): Promise<Kept> {
  const own = memory.get(head.id)
  let kept: Kept = 'kept'
  for (const [i, part] of head.parts.entries()) {
    const samples = own?.get(part.name)
    if (samples === undefined) return keepHead(head)
    kept = await keepPart({ ...head, parts: head.parts.slice(0, i + 1) }, part, samples)
    if (kept !== 'kept') break
  }
  return kept
}

/** Hands the take to the person as a file; false: it is gone. */
export async function exportTake(id: string): Promise<boolean> {
  const take = await takeById(id)
  if (take === null) return false
  saveFile(`${id}.zip`, 'application/zip', [zipOfTake(take)])
  return true
}

/** A take that is here already by its id is replaced. @throws Problem with the file's name in front. */
export async function importTake(bytes: Uint8Array): Promise<TakeHead> {
  const take: RoomTake = await takeOfZip(bytes)
  const { head } = take
  memory.set(head.id, new Map(take.samples))
  useTakes.setState(({ heads }) => ({ heads: [head, ...heads.filter(({ id }) => id !== head.id)] }))
  await written(head.id, () => keepWhole(head))
  return head
}

function changeHead(id: string, change: (head: TakeHead) => TakeHead): TakeHead | undefined {
  useTakes.setState(({ heads }) => ({ heads: heads.map((head) => (head.id === id ? change(head) : head)) }))
  return useTakes.getState().heads.find((head) => head.id === id)
}

const isStopped = (kept: Kept | null): kept is 'full' | 'refused' => kept === 'full' || kept === 'refused'

async function written(id: string, write: () => Promise<Kept>): Promise<Kept> {
  const before = useTakes.getState().kept
  const kept = isStopped(before) ? before : await write()
  useTakes.setState(({ unkept, kept: now }) => ({
    // One that was under way when another was refused may still have found room.
    kept: isStopped(now) ? now : kept,
    unkept: kept === 'kept' || unkept.includes(id) ? unkept : [...unkept, id],
  }))
  return kept
}
