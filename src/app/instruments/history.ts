/**
 * Undo and redo over a value that is never changed in place. A step knows what led to it, so that a button can say what it
 * takes back. Changes with the same key that follow each other are one step: a word typed is one step, not one a letter.
 */
export interface Step<T> {
  readonly value: T
  /** What was done to get here: "scale length of Rhythm electric". */
  readonly what: string
}

export interface History<T> {
  /** Oldest first. */
  readonly past: readonly Step<T>[]
  readonly present: Step<T>
  /** Nearest first. */
  readonly future: readonly Step<T>[]
  /** Key of the newest step while changes may still join it; null: the next change is a step of its own. */
  readonly joins: string | null
}

/** Steps that can be taken back. Each shares what did not change with its neighbours, so 200 cost little. */
export const mostSteps = 200

export const begun = <T>(value: T): History<T> => ({
  past: [],
  present: { value, what: '' },
  future: [],
  joins: null,
})

/** A step further. What was undone before is dropped, as everywhere. */
export function recorded<T>(history: History<T>, value: T, what: string, key: string | null = null): History<T> {
  const { past, present, joins } = history
  const step = { value, what }
  if (key !== null && key === joins) return { ...history, present: step, future: [] }
  return { past: [...past, present].slice(-mostSteps), present: step, future: [], joins: key }
}

/** The next change is a step of its own, whatever its key. */
export const settled = <T>(history: History<T>): History<T> =>
  history.joins === null ? history : { ...history, joins: null }

/** The same history when there is nothing to undo. */
export function undone<T>(history: History<T>): History<T> {
  const { past, present, future } = history
  const before = past.at(-1)
  if (before === undefined) return history
  return { past: past.slice(0, -1), present: before, future: [present, ...future], joins: null }
}

/** The same history when there is nothing to redo. */
export function redone<T>(history: History<T>): History<T> {
  const { past, present, future } = history
  const next = future[0]
  if (next === undefined) return history
  return { past: [...past, present], present: next, future: future.slice(1), joins: null }
}
