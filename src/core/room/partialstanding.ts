/**
 * Which partials are weaker than their neighbours lead one to expect.
 *
 * A string's partials fall off evenly but for where it is picked, where the pickup sits and what the body takes; the median of
 * two neighbours to either side is what one would expect of the one between. Twelve dB under it is a hole that a method which
 * counts on that partial will feel; twenty-five is no partial. Both limits: own choice, no source.
 */

/** `unheard`: it would be under the room anyway. */
export type PartialStanding = 'as-expected' | 'weak' | 'missing' | 'unheard'

const weakDb = 12
const missingDb = 25
const fewestNeighbours = 2

export interface Standing {
  readonly standing: PartialStanding
  /** Positive: weaker than its neighbours; null: it or they are not heard. */
  readonly underNeighboursDb: number | null
}

/**
 * @param levelsDb by partial, 1 first; null: not told from the room.
 * @param limitsDb what each would at least have to be to be told, on the same scale.
 */
export function partialStandings(levelsDb: readonly (number | null)[], limitsDb: readonly number[]): Standing[] {
  return levelsDb.map((levelDb, i) => {
    const around = [i - 2, i - 1, i + 1, i + 2].flatMap((j) => levelsDb[j] ?? [])
    if (around.length < fewestNeighbours) {
      return { standing: levelDb === null ? 'unheard' : 'as-expected', underNeighboursDb: null }
    }
    around.sort((a, b) => a - b)
    const middle = around.length >> 1
    const expectedDb = around.length % 2 === 1 ? around[middle] : (around[middle - 1] + around[middle]) / 2
    if (levelDb === null) {
      const standing = expectedDb - limitsDb[i] >= weakDb ? 'missing' : 'unheard'
      return { standing, underNeighboursDb: null }
    }
    const underNeighboursDb = expectedDb - levelDb
    const standing = underNeighboursDb >= missingDb ? 'missing' : underNeighboursDb >= weakDb ? 'weak' : 'as-expected'
    return { standing, underNeighboursDb }
  })
}
