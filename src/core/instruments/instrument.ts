/**
 * An instrument as a person writes it down: plain JSON that survives saving and loading. What is left out (peg, capo shift) stays
 * left out, so that figures can say that they assumed it.
 */
import type { Field, Unit } from '../fields.ts'

export const instrumentKinds = ['acoustic', 'nylon', 'electric', 'bass'] as const
export type InstrumentKind = (typeof instrumentKinds)[number]

export type InstrumentField = Omit<Field, 'unit'> & { readonly unit: Unit | 'mm' | 'in' }

/** Numbers of an instrument, each with its limits. Defaults that differ by kind stand in `kindDefaults`. */
export const instrumentFields = {
  scaleMm: { default: 648, min: 300, max: 1100, unit: 'mm', help: 'Nut to saddle: the length that sounds.' },
  referenceHz: { default: 440, min: 400, max: 480, unit: 'Hz', help: 'Pitch of A4 for this player.' },
  toleranceCents: { default: 3, min: 0.1, max: 50, unit: 'c', help: 'What this player calls in tune.' },
} as const satisfies Record<string, InstrumentField>

export const pegFields = {
  ratio: { default: 16, min: 1, max: 60, unit: 'ratio', help: 'Turns of the peg for one turn of its post.' },
  postMm: { default: 6, min: 2, max: 25, unit: 'mm', help: 'Diameter of the post the string winds on.' },
  beyondMm: { default: 102, min: 0, max: 500, unit: 'mm', help: 'String beyond nut and saddle, both ends together.' },
} as const satisfies Record<string, InstrumentField>

export const capoFields = {
  fret: { default: 2, min: 1, max: 24, unit: 'count', whole: true, help: 'Where the capo sits.' },
  // Sharpening by a capo: 2 to 10 cents is common, no published table; 5 is our choice.
  shiftCents: {
    default: 5,
    min: -20,
    max: 40,
    unit: 'c',
    help: 'How much sharper than equal temperament it makes the strings.',
  },
} as const satisfies Record<string, InstrumentField>

export const gaugeFields = {
  diameterIn: { default: 0.01, min: 0.003, max: 0.25, unit: 'in', help: 'Diameter of the whole string.' },
  coreIn: { default: 0.016, min: 0.003, max: 0.2, unit: 'in', help: 'Diameter of the core of a wound string.' },
} as const satisfies Record<string, InstrumentField>

/** Lowest and highest note a string may be tuned to: what an aimed method may be told. */
export const noteField: InstrumentField = { default: 110, min: 15, max: 5000, unit: 'Hz', help: 'Pitch of a string.' }

interface KindDefaults {
  readonly scaleMm: number
  readonly toleranceCents: number
  readonly peg: { readonly ratio: number; readonly postMm: number; readonly beyondMm: number }
}

/** Assumptions all: the common sort, nothing measured. Tolerances are our own bands: 3 c is fine tuning, 5 c will do for a bass. */
export const kindDefaults: Readonly<Record<InstrumentKind, KindDefaults>> = {
  acoustic: { scaleMm: 645, toleranceCents: 3, peg: { ratio: 16, postMm: 6, beyondMm: 102 } },
  nylon: { scaleMm: 650, toleranceCents: 3, peg: { ratio: 16, postMm: 10, beyondMm: 110 } },
  electric: { scaleMm: 648, toleranceCents: 3, peg: { ratio: 16, postMm: 6, beyondMm: 102 } },
  bass: { scaleMm: 864, toleranceCents: 5, peg: { ratio: 20, postMm: 12, beyondMm: 150 } },
}

/** A string by its diameters. No `coreIn`: plain. */
export interface Gauge {
  readonly diameterIn: number
  readonly coreIn?: number
}

export interface Gauges {
  /** Ids of materials; `plain` and `core` carry the load. */
  readonly materials: { readonly plain: string; readonly core: string; readonly wrap: string }
  /** String 1 first. */
  readonly strings: readonly Gauge[]
}

export interface Capo {
  readonly fret: number
  /** Absent: assumed. */
  readonly shiftCents?: number
  /** Whether the strings are brought to pitch with the capo on or off. */
  readonly tuned: 'capo-on' | 'capo-off'
}

export interface Instrument {
  readonly id: string
  readonly title: string
  /** Free text; '' when nobody is named. */
  readonly player: string
  readonly kind: InstrumentKind
  readonly scaleMm: number
  /** Id of a gauge set, or the player's own. */
  readonly gauges: string | Gauges
  /** Id of a tuning, or notes, string 1 first. */
  readonly tuning: string | readonly string[]
  readonly referenceHz: number
  readonly capo: Capo | null
  readonly toleranceCents: number
  /** What is known of the pegs; the rest is assumed by kind. */
  readonly peg: { readonly ratio?: number; readonly postMm?: number; readonly beyondMm?: number }
  readonly notes: string
}
