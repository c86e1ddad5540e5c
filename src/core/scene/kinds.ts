/**
 * What strings of a kind of instrument usually have, value by value with where it comes from. Used only where a scene names
 * the kind; whatever the scene states itself goes before.
 *
 * `measured`: medians over 71 recorded single notes (27 of them fitted closely), rounded; ranges are wide, see
 * signals/README.md. The offset of partial 1 was measured on strings with their bodies: a scene that also sets a body has
 * the body's pull twice. `assumption`: nobody measured it here.
 */
import type { pluckFields } from './pluckfields.ts'

export const kindIds = ['acoustic', 'nylon', 'electric', 'bass'] as const
export type Kind = (typeof kindIds)[number]

export interface KindValue {
  readonly value: number
  readonly basis: 'measured' | 'published' | 'computed' | 'assumption'
  readonly source: string
}

type PluckKey = keyof typeof pluckFields
export type KindPluck = Readonly<Partial<Record<PluckKey, KindValue>>>

const notes = 'median of recorded notes, rounded'
const measured = (value: number, source = notes): KindValue => ({ value, basis: 'measured', source })
const assumed = (value: number, source = 'assumption'): KindValue => ({ value, basis: 'assumption', source })

const common: KindPluck = {
  firstPartialOffsetCents: measured(-1, 'median of recorded guitar notes, body included'),
  partialScatterCents: measured(1.2),
  levelScatterDb: measured(7),
  highDecayRatio: measured(0.5, 'middle of 0.2 to 0.9 over recorded notes'),
  glideCents: measured(3),
  glideS: assumed(0.15),
  polMix: assumed(0.4),
  polCents: assumed(1.5),
  polDecay: assumed(2.5),
  // 6 to 10 cm on a string of 0.65 m.
  pickRatio: {
    value: 0.13,
    basis: 'published',
    source: 'Zollner & Zwicker, Physics of the Electric Guitar, section 1.5',
  },
  attackDb: assumed(0),
  attackMs: assumed(25),
}

const likeElectric = 'assumption: as on the electric guitar'
const likeAcoustic = 'assumption: as on the acoustic guitar'

const byKind: Readonly<Record<Kind, KindPluck>> = {
  acoustic: { ...common, levelSlopeDb: measured(-10), decayS: measured(5), lateEarlyRatio: measured(0.9) },
  nylon: { ...common, levelSlopeDb: measured(-8), decayS: measured(9), lateEarlyRatio: assumed(0.9, likeAcoustic) },
  electric: { ...common, levelSlopeDb: measured(-14), decayS: measured(6), lateEarlyRatio: measured(1.8) },
  bass: {
    ...common,
    firstPartialOffsetCents: measured(-3.4, 'median of recorded bass notes, body included'),
    levelSlopeDb: measured(-5),
    decayS: measured(22),
    lateEarlyRatio: assumed(1.8, likeElectric),
  },
}

/** Only the lowest string was measured so; where it ends is assumed half-way (geometric mean) to the next one up. */
const lowStrings: Readonly<Record<Kind, { readonly underHz: number; readonly level: KindValue }>> = {
  // E2 82.4 and A2 110 Hz.
  acoustic: { underHz: 95.2, level: measured(-15, 'recorded E2') },
  nylon: { underHz: 95.2, level: measured(-15, 'recorded E2') },
  electric: { underHz: 95.2, level: measured(-15, 'recorded E2') },
  // E1 41.2 and A1 55 Hz.
  bass: { underHz: 47.6, level: measured(-19, 'recorded E1') },
}

/** Usual values of a pluck at `firstPartialHz`, with their sources. */
export function kindPluck(kind: Kind, firstPartialHz: number): KindPluck {
  const { underHz, level } = lowStrings[kind]
  return firstPartialHz < underHz ? { ...byKind[kind], firstPartialLevelDb: level } : byKind[kind]
}

/** The same, values only. */
export const kindPluckValues = (kind: Kind, firstPartialHz: number): Partial<Record<PluckKey, number>> =>
  Object.fromEntries(Object.entries(kindPluck(kind, firstPartialHz)).map(([name, { value }]) => [name, value]))

export interface KindNeighbours {
  readonly sympatheticDb: KindValue
  readonly drivenDb: KindValue
  readonly detuneCents: KindValue
}

const computed = (value: number): KindValue => ({
  value,
  basis: 'computed',
  source: 'computed from string impedance and bridge admittance; bridge figures assumed',
})
const hollow = { sympatheticDb: computed(-22), drivenDb: computed(-30), detuneCents: assumed(3) }
const solid = { sympatheticDb: computed(-45), drivenDb: computed(-55), detuneCents: assumed(3) }

/** How the other strings of an instrument ring along. */
export const kindNeighbours: Readonly<Record<Kind, KindNeighbours>> = {
  acoustic: hollow,
  nylon: hollow,
  electric: solid,
  bass: solid,
}

/** The same, values only. */
export const kindNeighbourValues = (kind: Kind): Record<keyof KindNeighbours, number> => {
  const { sympatheticDb, drivenDb, detuneCents } = kindNeighbours[kind]
  return { sympatheticDb: sympatheticDb.value, drivenDb: drivenDb.value, detuneCents: detuneCents.value }
}
