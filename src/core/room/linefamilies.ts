/**
 * What steady tones belong together: harmonics of the mains (nominally 50 or 60 Hz, IEC 60038, table 1; within 1 % of it in
 * public networks for nearly all of a year, EN 50160, 4.2.1), or of another fundamental that several share.
 *
 * A lone tone is called mains only where a network that is run with care keeps its first three harmonics, within 0.2 %
 * (100 mHz at 50 Hz; common practice, no source). 300 Hz belongs to either network: the one with more tones takes it.
 */

/** What a line is one of. */
export type LineFamily =
  | { readonly kind: 'mains'; readonly nominalHz: 50 | 60; readonly baseHz: number; readonly harmonic: number }
  | { readonly kind: 'series'; readonly baseHz: number; readonly harmonic: number }
  | { readonly kind: 'alone' }

const nominals = [50, 60] as const
const publicShare = 0.01
const carefulShare = 0.002
const loneHarmonics = 3
const mostHarmonic = 60
/** How far a measured tone may be from its place, and so much more for each harmonic: a base is known to a few mHz. */
const offHz = 0.1
const offPerHarmonicHz = 0.005
/** A common fundamental lower than that fits anything. */
const lowestBaseHz = 25
/** Two tones always have one. */
const fewestOfSeries = 3
const mostDivisor = 6

/** In the order of `linesHz`. */
export function lineFamilies(linesHz: readonly number[]): readonly LineFamily[] {
  const families: LineFamily[] = linesHz.map(() => ({ kind: 'alone' }))
  const left = new Set(linesHz.keys())
  const mains = nominals
    .map((nominalHz) => ({ nominalHz, ...bestBase(linesHz, left, basesNear(linesHz, nominalHz)) }))
    .reduce((a, b) => (b.members.length > a.members.length ? b : a))
  const lone = mains.members.length === 1
  const trusted = !lone || isLone(linesHz[mains.members[0]], mains.nominalHz)
  if (trusted) {
    for (const index of mains.members) {
      const { nominalHz, baseHz } = mains
      families[index] = { kind: 'mains', nominalHz, baseHz, harmonic: Math.round(linesHz[index] / baseHz) }
      left.delete(index)
    }
  }
  for (;;) {
    const { baseHz, members } = bestBase(linesHz, left, divided(linesHz, left))
    if (members.length < fewestOfSeries) return families
    for (const index of members) {
      families[index] = { kind: 'series', baseHz, harmonic: Math.round(linesHz[index] / baseHz) }
      left.delete(index)
    }
  }
}

const isLone = (hz: number, nominalHz: number): boolean => {
  const harmonic = Math.round(hz / nominalHz)
  return harmonic <= loneHarmonics && Math.abs(hz / (harmonic * nominalHz) - 1) <= carefulShare
}

const basesNear = (linesHz: readonly number[], nominalHz: number): number[] =>
  linesHz
    .map((hz) => hz / Math.max(1, Math.round(hz / nominalHz)))
    .filter((baseHz) => Math.abs(baseHz / nominalHz - 1) <= publicShare)

/** Highest first: of bases with as many members the highest is the fundamental. */
const divided = (linesHz: readonly number[], left: ReadonlySet<number>): number[] =>
  [...left]
    .flatMap((index) => Array.from({ length: mostDivisor }, (_, i) => linesHz[index] / (i + 1)))
    .filter((baseHz) => baseHz >= lowestBaseHz)
    .sort((a, b) => b - a)

/** The base with the most members, refined over them: every harmonic weighs by its number. */
function bestBase(linesHz: readonly number[], left: ReadonlySet<number>, bases: readonly number[]) {
  let best: { baseHz: number; members: number[] } = { baseHz: Number.NaN, members: [] }
  for (const baseHz of bases) {
    const members = [...left].filter((index) => {
      const harmonic = Math.round(linesHz[index] / baseHz)
      if (harmonic < 1 || harmonic > mostHarmonic) return false
      return Math.abs(linesHz[index] - harmonic * baseHz) <= offHz + offPerHarmonicHz * harmonic
    })
    if (members.length <= best.members.length) continue
    const [sum, weights] = members.reduce(
      ([moment, squares], index) => {
        const harmonic = Math.round(linesHz[index] / baseHz)
        return [moment + harmonic * linesHz[index], squares + harmonic * harmonic]
      },
      [0, 0],
    )
    best = { baseHz: sum / weights, members }
  }
  return best
}
