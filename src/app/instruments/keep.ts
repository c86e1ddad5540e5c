/**
 * What the browser keeps of the instruments: the list as the JSON of a saved file. Nothing here throws; a browser that
 * refuses storage is told apart from one that has nothing yet. A kept list that cannot be read any more is set aside, never
 * overwritten.
 */
import { type DBSchema, type IDBPDatabase, openDB } from 'idb'

interface Cupboard extends DBSchema {
  texts: { key: string; value: unknown }
}

let cupboard: Promise<IDBPDatabase<Cupboard> | null> | undefined

function open(): Promise<IDBPDatabase<Cupboard> | null> {
  cupboard ??= openDB<Cupboard>('clatterbench-instruments', 1, {
    upgrade(database) {
      database.createObjectStore('texts')
    },
  }).catch(() => null)
  return cupboard
}

export type Kept = { readonly state: 'refused' | 'nothing' } | { readonly state: 'there'; readonly json: unknown }

export async function keptInstruments(): Promise<Kept> {
  try {
    const database = await open()
    if (database === null) return { state: 'refused' }
    const json = await database.get('texts', 'instruments')
    return json === undefined ? { state: 'nothing' } : { state: 'there', json }
  } catch {
    return { state: 'refused' }
  }
}

/** false: the browser refused. */
export async function keepInstruments(json: unknown): Promise<boolean> {
  try {
    const database = await open()
    if (database === null) return false
    await database.put('texts', json, 'instruments')
    return true
  } catch {
    return false
  }
}

/** Puts a list that was not understood where nothing overwrites it. */
export async function setAside(json: unknown): Promise<void> {
  try {
    const database = await open()
    await database?.put('texts', json, `set-aside-${Date.now()}`)
  } catch {
    // The page offers it as a file as well.
  }
}
