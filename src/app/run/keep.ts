/**
 * What the browser keeps: finished outcomes by study, and recordings a person picked. A study's key is a hash of its JSON
 * and of the core that computed it, so results of other code are never shown. Nothing here throws: a browser that refuses
 * storage (private windows, full disks) only means that a reload starts again.
 */
import { type DBSchema, type IDBPDatabase, openDB } from 'idb'
import type { Recording } from '../../core/scene/scene.ts'
import type { Outcome, Study } from '../../core/study/study.ts'

declare const __CORE_STAMP__: string

export interface KeptRecording {
  readonly recording: Recording
  readonly title: string
  readonly use: 'string' | 'noise'
  /** The note a person named for it, Hz; NaN for noises. */
  readonly targetHz: number
}

interface Shelf extends DBSchema {
  runs: { key: string; value: { key: string; usedAt: number } }
  outcomes: {
    key: [string, number]
    value: { run: string; trial: number; outcomes: readonly Outcome[] }
    indexes: { run: string }
  }
  recordings: { key: string; value: KeptRecording & { id: string } }
}

/** Older runs than the newest 24 are dropped: a large run is some megabytes. */
const runsKept = 24

let shelf: Promise<IDBPDatabase<Shelf> | null> | undefined

function open(): Promise<IDBPDatabase<Shelf> | null> {
  shelf ??= openDB<Shelf>('clatterbench', 1, {
    upgrade(database) {
      database.createObjectStore('runs', { keyPath: 'key' })
      database.createObjectStore('outcomes', { keyPath: ['run', 'trial'] }).createIndex('run', 'run')
      database.createObjectStore('recordings', { keyPath: 'id' })
    },
  }).catch(() => null)
  return shelf
}

/** 53-bit hash (two rounds of FNV-1a over 32 bits with different offsets), as text. Enough to tell a person's studies apart. */
export function studyKey(study: Study): string {
  const text = `${__CORE_STAMP__} ${JSON.stringify(study)}`
  let low = 0x811c9dc5
  let high = 0x9747b28c
  for (let at = 0; at < text.length; at += 1) {
    const unit = text.charCodeAt(at)
    low = Math.imul(low ^ unit, 0x01000193)
    high = Math.imul(high ^ unit, 0x01000193) ^ (high >>> 15)
  }
  return `${study.id}-${(low >>> 0).toString(36)}${(high >>> 0).toString(36)}`
}

/** Outcomes by trial index, empty when there are none. */
export async function keptOutcomes(key: string): Promise<Map<number, readonly Outcome[]>> {
  try {
    const database = await open()
    if (database === null) return new Map()
    const rows = await database.getAllFromIndex('outcomes', 'run', key)
    return new Map(rows.map((row) => [row.trial, row.outcomes]))
  } catch {
    return new Map()
  }
}

/** false: the browser refused. */
export async function keepOutcomes(key: string, trial: number, outcomes: readonly Outcome[]): Promise<boolean> {
  try {
    const database = await open()
    if (database === null) return false
    const change = database.transaction(['outcomes', 'runs'], 'readwrite')
    await Promise.all([
      change.objectStore('outcomes').put({ run: key, trial, outcomes }),
      change.objectStore('runs').put({ key, usedAt: Date.now() }),
      change.done,
    ])
    return true
  } catch {
    return false
  }
}

export async function dropOldRuns(): Promise<void> {
  try {
    const database = await open()
    if (database === null) return
    const runs = (await database.getAll('runs')).sort((a, b) => b.usedAt - a.usedAt)
    for (const { key } of runs.slice(runsKept)) {
      const change = database.transaction(['outcomes', 'runs'], 'readwrite')
      const outcomes = change.objectStore('outcomes')
      for (const row of await outcomes.index('run').getAllKeys(key)) await outcomes.delete(row)
      await change.objectStore('runs').delete(key)
      await change.done
    }
  } catch {
    // Nothing was promised: the next start tries again.
  }
}

export async function keptRecordings(): Promise<readonly KeptRecording[]> {
  try {
    return (await (await open())?.getAll('recordings')) ?? []
  } catch {
    return []
  }
}

/** false: the browser refused; the recording is usable until the page closes. */
export async function keepRecording(kept: KeptRecording): Promise<boolean> {
  try {
    const database = await open()
    if (database === null) return false
    await database.put('recordings', { ...kept, id: kept.recording.id })
    return true
  } catch {
    return false
  }
}
