/** Attempts that the browser keeps: scores of all, logs of the last ones. Nothing here throws; what cannot be read is left out. */
import { type DBSchema, type IDBPDatabase, openDB } from 'idb'
import type { Exercise } from '../../core/drill/exercise.ts'
import { exerciseById } from '../../core/drill/exercises.ts'
import { exerciseCode, exerciseOfCode } from '../../core/drill/link.ts'
import { type Log, parseLog } from '../../core/drill/log.ts'

export interface Kept {
  readonly exercise: Exercise
  readonly seed: number
  readonly log: Log
  readonly lostS: number
  readonly lostCents: number
  readonly passed: boolean
  /** ms since 1970. */
  readonly at: number
}

interface Cupboard extends DBSchema {
  attempts: { key: number; value: Readonly<Record<string, unknown>> }
}

/** Twice what the progression of nine exercises counts. */
const mostKept = 200

let cupboard: Promise<IDBPDatabase<Cupboard> | null> | undefined

function open(): Promise<IDBPDatabase<Cupboard> | null> {
  cupboard ??= openDB<Cupboard>('clatterbench-drill', 1, {
    upgrade(database) {
      database.createObjectStore('attempts', { autoIncrement: true })
    },
  }).catch(() => null)
  return cupboard
}

/** Oldest first. */
export async function keptAttempts(): Promise<readonly Kept[]> {
  try {
    const all = (await (await open())?.getAll('attempts')) ?? []
    return all.flatMap((written) => {
      try {
        const { exercise: code, log, ...rest } = written as unknown as Omit<Kept, 'exercise'> & { exercise: string }
        const read = exerciseOfCode(code)
        // Exercises that changed since keep what was reached in them.
        const exercise = knownOr(read)
        return [{ ...rest, exercise, log: parseLog(log) }]
      } catch {
        return []
      }
    })
  } catch {
    return []
  }
}

function knownOr(read: Exercise): Exercise {
  try {
    const known = exerciseById(read.id)
    return exerciseCode(known) === exerciseCode(read) ? known : read
  } catch {
    return read
  }
}

/** false: the browser refused. */
export async function keepAttempt(kept: Kept): Promise<boolean> {
  try {
    const database = await open()
    if (database === null) return false
    await database.add('attempts', { ...kept, exercise: exerciseCode(kept.exercise) })
    const keys = await database.getAllKeys('attempts')
    for (const key of keys.slice(0, Math.max(0, keys.length - mostKept))) await database.delete('attempts', key)
    return true
  } catch {
    return false
  }
}
