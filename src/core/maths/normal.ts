/** The normal distribution. */
import { ln } from './portable.ts'

/** Coefficients of Abramowitz & Stegun 1964, Handbook of Mathematical Functions, 26.2.23 (after Hastings). */
const [c0, c1, c2] = [2.515517, 0.802853, 0.010328]
const [d1, d2, d3] = [1.432788, 0.189269, 0.001308]
/** Nearer to 0 or 1 there is nothing to be had from a 32-bit random word. */
const least = 2 ** -33

/** The standard normal deviate under which the share `below` lies, 0 to 1; off by less than 4.5e-4 (26.2.23). The same on every engine. */
export function normalDeviate(below: number): number {
  const tail = Math.max(least, Math.min(below, 1 - below))
  const t = Math.sqrt(-2 * ln(tail))
  const deviate = t - (c0 + t * (c1 + t * c2)) / (1 + t * (d1 + t * (d2 + t * d3)))
  return below < 0.5 ? -deviate : deviate
}
