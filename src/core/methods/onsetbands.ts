/**
 * The channels an onset is looked for in: two equal complex poles each, |H| = 1 / (1 + (offset / half)^2), one a partial of
 * the note in hand or, where none is, a third of an octave each. Wide enough for a string 150 cents off and for an answer
 * within milliseconds: a channel tells apart what lies a partial away, hardly what lies beside it.
 */
import { densityAt, type Spectrum } from '../maths/spectrum.ts'

export interface Band {
  readonly hz: number
  /** Of each of the two stages. */
  readonly decayPerS: number
}

export const radius = (decayPerS: number, rateHz: number): number => Math.exp(-decayPerS / rateHz)

/** Twelve partials at most. Half-widths: a quarter of the note answers within half a period; 5 % reach 86 cents at half power. */
export function partialBands(targetHz: number, passHz: number): Band[] {
  const bands: Band[] = []
  for (let k = 1; k <= 12 && (k === 1 || k * targetHz <= passHz); k++) {
    const halfHz = Math.min(150, Math.max(0.25 * targetHz, 0.05 * k * targetHz))
    bands.push({ hz: k * targetHz, decayPerS: 2 * Math.PI * halfHz })
  }
  return bands
}

/** From 80 Hz, where even a bass has partials. Half-widths of a fifth: the channels meet. */
export function octaveThirds(passHz: number): Band[] {
  const bands: Band[] = []
  for (let hz = 80; hz < passHz; hz *= 2 ** (1 / 3))
    bands.push({ hz, decayPerS: 2 * Math.PI * Math.min(150, 0.2 * hz) })
  return bands
}

/** Power of a noise behind a band's resonator: unit gain in the middle, half of a one-sided density. */
export function throughBand(room: Spectrum, { hz, decayPerS }: Band): number {
  const halfHz = decayPerS / (2 * Math.PI)
  let power = 0
  const step = halfHz / 8
  for (let offset = -16 * halfHz; offset <= 16 * halfHz; offset += step) {
    if (hz + offset <= 0) continue
    power += (densityAt(room, hz + offset) / 2) * step * (1 + (offset / halfHz) ** 2) ** -2
  }
  return power
}
