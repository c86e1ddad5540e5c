/**
 * sin, cos, exp, ln and pow that give the same last bit in every engine.
 *
 * `Math.sin` and its kin are "implementation-approximated" in the language standard (ECMA-262, section 21.3.2), so engines
 * differ in the last bit. These are the FreeBSD msun routines in plain + - * / as packaged by stdlib; they answer within
 * 1 ulp or so. Slower than `Math.*` (tens of nanoseconds): for set-up, not for a loop over samples.
 */
import cos from '@stdlib/math-base-special-cos'
import exp from '@stdlib/math-base-special-exp'
import ln from '@stdlib/math-base-special-ln'
import pow from '@stdlib/math-base-special-pow'
import sin from '@stdlib/math-base-special-sin'

export { cos, exp, ln, pow, sin }
