/**
 * The ideal string: f = sqrt(T/mu)/(2 L), so T = 4 mu L^2 f^2 (any text). Stiffness raises a guitar string's pitch by less than a
 * tenth of a cent at these tensions and is left out here. Stress in a plain string, 4 rho L^2 f^2, does not depend on its gauge.
 */
export const tensionN = (massKgPerM: number, lengthM: number, frequencyHz: number): number =>
  4 * massKgPerM * lengthM ** 2 * frequencyHz ** 2

/** The other way round: the pitch of a string at a tension. */
export const frequencyAtTensionHz = (massKgPerM: number, lengthM: number, tension: number): number =>
  Math.sqrt(tension / massKgPerM) / (2 * lengthM)

/** Tension after the pitch moved by `semitones`, over that before: a semitone up is +12.2 %, one down -10.9 %. */
export const tensionRatio = (semitones: number): number => 2 ** (semitones / 6)
