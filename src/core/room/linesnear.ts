/** Which steady tones of a room lie within a string's partials, and how strong they are beside them. */
import { centsBetween, dbFromPowerRatio, powerRatioFromDb } from '../maths/units.ts'
import { powerBetween } from './bandpower.ts'
import type { NoiseFigures } from './noisetake.ts'
import { type RoomString, stringPartialHz, toldPartials } from './roomstring.ts'
import type { SteadyLine } from './steadylines.ts'
import type { StringFigures } from './stringfigures.ts'

export interface LineNear {
  readonly line: SteadyLine
  readonly k: number
  /** Above the partial of the string in tune: positive. */
  readonly cents: number
  /** Tone over the partial in the first second; null: the partial is not told from the room. */
  readonly overPartialDb: number | null
}

/** What a partial's ratio is measured within, and what a method that follows one takes in. */
export const nearCents = 50

/** Lines within 50 c of a partial, the one that is strongest beside its partial first; then those on partials under the room, by partial. */
export function linesNear(string: RoomString, figures: StringFigures, noise: NoiseFigures): readonly LineNear[] {
  const found = noise.lines.flatMap((line): LineNear[] => {
    for (let k = 1; k <= toldPartials; k++) {
      const cents = centsBetween(line.hz, stringPartialHz(string, k))
      if (Math.abs(cents) > nearCents) continue
      return [{ line, k, cents, overPartialDb: overPartial(line, k, figures, noise) }]
    }
    return []
  })
  const heard = found.filter(({ overPartialDb }) => overPartialDb !== null)
  const unheard = found.filter(({ overPartialDb }) => overPartialDb === null)
  return [
    ...heard.sort((a, b) => (b.overPartialDb ?? 0) - (a.overPartialDb ?? 0)),
    ...unheard.sort((a, b) => a.k - b.k),
  ]
}

function overPartial(line: SteadyLine, k: number, figures: StringFigures, noise: NoiseFigures): number | null {
  const partial = figures.partials.find((one) => one.k === k)
  if (partial === undefined || partial.ratioDb === null) return null
  const edge = 2 ** (nearCents / 1200)
  const { density, binHz } = noise.fineSpectrum
  const room = powerBetween(density, binHz, partial.lawHz / edge, partial.lawHz * edge)
  return line.levelDbfs - dbFromPowerRatio(room * powerRatioFromDb(partial.ratioDb))
}
