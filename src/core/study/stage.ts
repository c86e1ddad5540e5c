/**
 * Fixed stage: one level of noise for all strings, set for the reference string's pluck; the others are plucked as hard.
 *
 * "As hard" is the same force on the string when it is let go. A string held aside by a force F at the part p of its length
 * pushes on its bridge with partials (2 F / pi k) sin(pi k p): the modal sum of the string's static shape, its slope at the end
 * times the tension, in which tension and mass cancel (from Fletcher & Rossing, Physics of Musical Instruments, section 2.5).
 * So strings of any gauge start equally loud at the bridge, at body, saddle and microphone, and differ by pick position, by
 * how fast they fade, and by the string's own level slope and first partial. Assumed: body and sensor pass the strings of
 * an instrument alike. A magnetic pickup hears velocity, which goes with 1 / impedance; there it is assumed that its poles are
 * set to even strings out (common practice, no source). A capo, a fret or another player's hand is not in it.
 *
 * Levels speak of the string as described, at its nominal pitch and without scatter: one figure a string, the same for every
 * repeat. In the samples the string stays at its level and the noise moves. A sensor's own noise keeps its level re the string in hand.
 */
import { dbFromPowerRatio } from '../maths/units.ts'
import { rmsOf } from '../scene/components.ts'
import { pluckPartials } from '../scene/pluck.ts'
import { idealSlopeDb } from '../scene/pluckfields.ts'
import { syntheticPluck } from './stringpluck.ts'
import type { Study, StudyString } from './study.ts'

/** The named one, else the third lowest; the highest of fewer than three. */
export function referenceOf({ strings, referenceString }: Study): StudyString {
  const rising = [...strings].sort((a, b) => a.targetHz - b.targetHz)
  const named = strings.find(({ id }) => id === referenceString)
  return named ?? (rising[Math.min(2, rising.length - 1)] as StudyString)
}

/** What the fixed stage adds to a string's ratio, dB: 0 for the reference, and for every string at a fixed ratio. */
export function stageOffsetDb(study: Study, string: StudyString): number {
  if (study.level !== 'stage') return 0
  const reference = referenceOf(study)
  if (string.id === reference.id) return 0
  const offsetDb = dbFromPowerRatio(
    powerPerForce(string, study.sampleRateHz) / powerPerForce(reference, study.sampleRateHz),
  )
  // To a thousandth: last bits that differ between engines must not reach the samples.
  return Math.round(offsetDb * 1000) / 1000
}

/** Mean square over the first second, re the square of what the law gives its amplitudes for one and the same force. */
function powerPerForce(string: StudyString, sampleRateHz: number): number {
  const pluck = {
    ...syntheticPluck(string, 0, string.targetHz),
    levelScatterDb: 0,
    partialScatterCents: 0,
  }
  const exponent = pluck.levelSlopeDb / -idealSlopeDb
  const law = (k: number): number =>
    (pluck.pickRatio === 0 ? 1 : Math.abs(Math.sin(Math.PI * k * pluck.pickRatio))) * k ** exponent
  const partials = pluckPartials(pluck, sampleRateHz).filter(({ polarisation }) => polarisation === undefined)
  // Partial 1 has a level of its own; of the others the strongest is furthest from where the comb cuts to nothing.
  const [first, ...others] = partials
  const strongest = (others.length === 0 ? partials : others).reduce(
    (a, b) => (b.amplitude > a.amplitude ? b : a),
    first,
  )
  return (rmsOf(pluck) * law(strongest.k)) ** 2 / strongest.amplitude ** 2
}
