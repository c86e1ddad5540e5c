/**
 * What the growing fit knows of its string, handed from one span to the next: the law, and how well it is known.
 */
import type { StringLaw } from './stringlaw.ts'

export interface Known {
  readonly law: StringLaw
  /** Variances of pitch (c^2) and stiffness, and what they have in common. */
  readonly doubt: { cents2: number; both: number; stiffness2: number }
}

export function copyKnown(from: Known, to: Known): void {
  to.law.f1Hz = from.law.f1Hz
  to.law.stiffness = from.law.stiffness
  to.doubt.cents2 = from.doubt.cents2
  to.doubt.both = from.doubt.both
  to.doubt.stiffness2 = from.doubt.stiffness2
}

/** Standard deviations that have nothing in common. */
export function doubtKnown({ doubt }: Known, cents: number, stiffness: number): void {
  doubt.cents2 = cents * cents
  doubt.both = 0
  doubt.stiffness2 = stiffness * stiffness
}
