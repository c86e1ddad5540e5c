/**
 * Third-octave bands after IEC 61260-1:2014: base ten, G = 10^(3/10), exact mid-band frequencies 1000 G^(x/3) Hz (eq. 2), edges
 * G^(1/6) to either side (eqs. 4 and 5), and the nominal frequencies that bands go by (annex E).
 *
 * Bands are ideal here, power between two edges of a density, not filters of a class: their slopes are those of the window
 * behind the density.
 */

export interface ThirdOctave {
  /** The band's name. */
  readonly nominalHz: number
  readonly exactHz: number
  readonly lowHz: number
  readonly highHz: number
}

const octaveRatio = 10 ** 0.3
const referenceHz = 1000

/** 25 Hz, the lowest that tells anything of a string, is band -16 from 1 kHz. */
const lowestIndex = -16
const nominal = [
  25, 31.5, 40, 50, 63, 80, 100, 125, 160, 200, 250, 315, 400, 500, 630, 800, 1000, 1250, 1600, 2000, 2500, 3150, 4000,
  5000, 6300, 8000, 10000, 12500, 16000, 20000,
] as const

/** Bands from 25 Hz to 20 kHz that end at or under `highestHz`. */
export const thirdOctaves = (highestHz: number): readonly ThirdOctave[] =>
  nominal
    .map((nominalHz, place) => {
      const exactHz = referenceHz * octaveRatio ** ((place + lowestIndex) / 3)
      return { nominalHz, exactHz, lowHz: exactHz * octaveRatio ** (-1 / 6), highHz: exactHz * octaveRatio ** (1 / 6) }
    })
    .filter(({ highHz }) => highHz <= highestHz)
