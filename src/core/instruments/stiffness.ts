/**
 * Inharmonicity of a stiff string with hinged ends, f_k = k f0 sqrt(1 + B k^2): B = pi^3 E d^4 / (64 T L^2) (Fletcher 1964, JASA
 * 36:203-209; Fletcher & Rossing, The Physics of Musical Instruments, 2nd ed., section 2.18). d is the diameter that bends as
 * one: the whole plain string, the core of a wound one. The wrap adds a little and hexagonal cores differ, so B of a wound string
 * is good to a factor of two. Ends of a real string lie between hinged and clamped.
 */
import { loadDiameterM, type StringMake } from './stringmake.ts'

/** B of the open string. */
export function stiffness(make: StringMake, tension: number, lengthM: number): number {
  const diameterM = loadDiameterM(make)
  return (Math.PI ** 3 * make.load.modulusPa(diameterM) * diameterM ** 4) / (64 * tension * lengthM ** 2)
}

/** Fretting or a capo shortens the string at the same tension: B ~ 1/L^2 doubles every six frets. */
export const stiffnessAtFret = (openStiffness: number, fret: number): number => openStiffness * 2 ** (fret / 6)
