/**
 * What warmth does to a string on a neck that does not move: thermal growth alpha dT unloads the string by E A alpha dT, so
 * d ln f = -(E A alpha / (2 T)) dT. The rigid-neck limit is the most that the string alone can do: a neck warms too, later, and takes
 * part of it back. For nylon the modulus falls with warmth and the true figure can have either sign (Lynch-Aird & Woodhouse 2017).
 */
import { centsPerTensionRatio } from './peg.ts'
import { axialStiffnessN, type StringMake } from './stringmake.ts'

/** Cents for one kelvin warmer: negative. */
export const centsPerKelvin = (make: StringMake, tension: number): number =>
  (-centsPerTensionRatio * axialStiffnessN(make) * make.load.expansionPerK) / tension
