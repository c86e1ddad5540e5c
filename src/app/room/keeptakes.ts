/**
 * What the browser keeps of room takes: heads and samples apart, each part written as soon as it is there, so that a tab that
 * dies loses at most the part under way. Nothing here throws: a full disk and a refused store are answers.
 */
import { type DBSchema, type IDBPDatabase, openDB } from 'idb'
import { parseTakeHead, type RoomTake, sha256, type TakeHead, type TakePart } from './take.ts'

interface Cupboard extends DBSchema {
  heads: { key: string; value: unknown }
  parts: { key: [string, string]; value: Float32Array; indexes: never }
}

/** `full`: the browser says there is no room left. `refused`: it keeps nothing (private window, blocked storage). */
export type Kept = 'kept' | 'full' | 'refused'

let cupboard: Promise<IDBPDatabase<Cupboard> | null> | undefined

function open(): Promise<IDBPDatabase<Cupboard> | null> {
  cupboard ??= openDB<Cupboard>('clatterbench-takes', 1, {
    upgrade(database) {
      database.createObjectStore('heads')
      database.createObjectStore('parts')
    },
  }).catch(() => null)
  return cupboard
}

const refusal = (cause: unknown): Kept =>
  cause instanceof DOMException && cause.name === 'QuotaExceededError' ? 'full' : 'refused'

async function keeping(write: (database: IDBPDatabase<Cupboard>) => Promise<unknown>): Promise<Kept> {
  try {
    const database = await open()
    if (database === null) return 'refused'
    await write(database)
    return 'kept'
  } catch (cause) {
    return refusal(cause)
  }
}

/** Head and part in one step: the head never names samples that are not there. A part of the same name is replaced. */
export const keepPart = (head: TakeHead, part: TakePart, samples: Float32Array): Promise<Kept> =>
  keeping(async (database) => {
    const change = database.transaction(['heads', 'parts'], 'readwrite')
    // A refused write rejects its own promise and `done` alike; both are waited for.
    await Promise.all([
      change.objectStore('parts').put(samples, [head.id, part.name]),
      change.objectStore('heads').put(head, head.id),
      change.done,
    ])
  })

export const keepHead = (head: TakeHead): Promise<Kept> => keeping((database) => database.put('heads', head, head.id))

export const dropTake = (id: string): Promise<Kept> =>
  keeping(async (database) => {
    const change = database.transaction(['heads', 'parts'], 'readwrite')
    await Promise.all([
      change.objectStore('heads').delete(id),
      change.objectStore('parts').delete(IDBKeyRange.bound([id, ''], [id, '\uffff'])),
      change.done,
    ])
  })

/** Newest first. Heads that are not understood any more are left out and left alone. */
export async function keptHeads(): Promise<readonly TakeHead[]> {
  try {
    const all = (await (await open())?.getAll('heads')) ?? []
    return all.flatMap(understood).sort((a, b) => (a.madeAt < b.madeAt ? 1 : -1))
  } catch {
    return []
  }
}

function understood(json: unknown): TakeHead[] {
  try {
    return [parseTakeHead(json)]
  } catch {
    return []
  }
}

export interface OpenedTake extends RoomTake {
  /** Parts whose samples are gone or are not those that were kept; `samples` is without them. */
  readonly damaged: readonly string[]
}

/** null: it is not there, or the browser refuses. */
export async function openKept(id: string): Promise<OpenedTake | null> {
  try {
    const database = await open()
    const head = understood(await database?.get('heads', id))[0]
    if (database === null || head === undefined) return null
    const samples = new Map<string, Float32Array>()
    const damaged: string[] = []
    for (const part of head.parts) {
      const found = await database.get('parts', [id, part.name])
      const whole = found !== undefined && found.length === part.samples
      const same = whole && (part.sha256 === '' || [part.sha256, ''].includes(await sha256(found)))
      if (same) samples.set(part.name, found)
      else damaged.push(part.name)
    }
    return { head, samples, damaged }
  } catch {
    return null
  }
}

/** Bytes the browser says it has left for this page, about; NaN: it does not say. */
export async function bytesLeft(): Promise<number> {
  try {
    const { quota = Number.NaN, usage = Number.NaN } = await navigator.storage.estimate()
    return quota - usage
  } catch {
    return Number.NaN
  }
}
