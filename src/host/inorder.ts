/**
 * Puts things that end in any order back into a given one: a run file holds its outcomes in trial order, whoever was
 * faster. What comes early waits in memory until all before it has come.
 */

/** @returns a function that takes each index of `order` once and calls `deliver` in that order. */
export function inOrder<T>(
  order: readonly number[],
  deliver: (index: number, value: T) => void,
): (index: number, value: T) => void {
  const early = new Map<number, T>()
  let next = 0
  return (index, value) => {
    early.set(index, value)
    while (next < order.length && early.has(order[next])) {
      const due = order[next++]
      const waited = early.get(due) as T
      early.delete(due)
      deliver(due, waited)
    }
  }
}
