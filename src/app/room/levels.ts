/** The newest level of the input, outside React: whoever draws it looks here once a frame. */
import type { HeardLevel } from './tapears.ts'

let newest: HeardLevel | null = null

export const newestLevel = (): HeardLevel | null => newest

export function setLevel(level: HeardLevel | null): void {
  newest = level
}

/** Levels come ten times a second: four without a loss between them. */
const quietLooks = 4
const lookMs = 100
const mostLooks = 20

/** Sound is often lost while an input and its listeners start, which is no fault of a take: resolves when it flows, or after 2 s. */
export async function soundFlows(): Promise<void> {
  let [lost, quiet] = [Number.NaN, 0]
  for (let look = 0; look < mostLooks && quiet < quietLooks; look++) {
    await new Promise((resolve) => setTimeout(resolve, lookMs))
    const now = newestLevel()?.lostSamples ?? Number.NaN
    quiet = now === lost ? quiet + 1 : 0
    lost = now
  }
}
