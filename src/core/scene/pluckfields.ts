/**
 * The settings of a synthetic pluck. Every default has no effect: an absent field leaves an ideal stiff string. What strings
 * of a kind of instrument usually have stands in kinds.ts and is used only where a pluck names its kind.
 */
import type { Field } from '../fields.ts'

/** 20 lg(1/2): the ideal string's 1 / k. */
export const idealSlopeDb = -6.020599913279624

/**
 * Partial k of a pluck sounds at k f0 sqrt(1 + B k^2), where f0 = firstPartialHz / sqrt(1 + B)
 * (Fletcher 1964, JASA 36:203-209; the constants are checked in tests/reference).
 */
export const pluckFields = {
  onsetS: { default: 0, min: 0, max: 600, unit: 's', help: 'When the string is let go, from the start of the take.' },
  firstPartialHz: {
    default: 110,
    min: 15,
    max: 5000,
    unit: 'Hz',
    help: 'First partial of the settled string by its law, as it sounds at the fret.',
  },
  stiffness: {
    default: 0,
    min: 0,
    max: 0.01,
    unit: 'ratio',
    help: 'B of the stiff-string law, of the open string; 0 is a flexible string.',
  },
  decayS: {
    default: Number.POSITIVE_INFINITY,
    min: 0.02,
    max: Number.POSITIVE_INFINITY,
    unit: 's',
    help: 'Time in which partial 1 of the open string falls by 60 dB; absent: it sounds for ever.',
  },
  highDecayRatio: {
    default: 1,
    min: 0.05,
    max: 2,
    unit: 'ratio',
    help: 'Decay time of partials 4 to 7 over that of partial 1; a power law in k joins them.',
  },
  lateEarlyRatio: {
    default: 1,
    min: 0.2,
    max: 5,
    unit: 'ratio',
    help: 'Decay times from 0.4 s after the pluck on, over those before.',
  },
  pickRatio: {
    default: 0,
    min: 0,
    max: 0.5,
    unit: 'ratio',
    help: 'Where the string is plucked, as a part of its length from the bridge; 0: no partial is weakened by it.',
  },
  levelDbfs: {
    default: -20,
    min: -80,
    max: 0,
    unit: 'dB',
    help: 'Root mean square of the string over its first second, re full scale. Some outside methods depend on it.',
  },
  firstPartialLevelDb: {
    default: 0,
    min: -40,
    max: 0,
    unit: 'dB',
    help: 'Partial 1 re the strongest of all; 0: none is stronger.',
  },
  levelSlopeDb: {
    default: idealSlopeDb,
    min: -24,
    max: 6,
    unit: 'dB/oct',
    help: 'How levels go with the number of the partial; an ideal string falls by 6.02 dB per octave.',
  },
  levelScatterDb: {
    default: 0,
    min: 0,
    max: 15,
    unit: 'dB',
    help: 'Standard deviation by which partials from 2 up are louder or softer than that.',
  },
  firstPartialOffsetCents: {
    default: 0,
    min: -20,
    max: 20,
    unit: 'c',
    help: 'How far partial 1 sounds off the law of the string.',
  },
  partialScatterCents: {
    default: 0,
    min: 0,
    max: 10,
    unit: 'c',
    help: 'Standard deviation by which partials from 2 up sound off the law.',
  },
  glideCents: {
    default: 0,
    min: -50,
    max: 50,
    unit: 'c',
    help: 'How far above its settled pitch the string starts; below 0: under it.',
  },
  glideS: { default: 0.15, min: 0.01, max: 5, unit: 's', help: 'Time constant with which the glide dies away.' },
  polMix: {
    default: 0,
    min: 0,
    max: 1,
    unit: 'ratio',
    help: 'Amplitude of the second polarisation over that of the first.',
  },
  polCents: { default: 0, min: 0, max: 10, unit: 'c', help: 'How much higher the second polarisation sounds.' },
  polDecay: {
    default: 1,
    min: 0.5,
    max: 8,
    unit: 'ratio',
    help: 'Decay times of the second polarisation over those of the first.',
  },
  attackDb: {
    default: 0,
    min: -30,
    max: 20,
    unit: 'dB',
    help: "Mean level of the pluck's noise re the string's over its first second.",
  },
  attackMs: {
    default: 0,
    min: 0,
    max: 100,
    unit: 'ms',
    help: "How long the pluck's noise lasts; 0: there is none.",
  },
  fret: {
    default: 0,
    min: 0,
    max: 24,
    unit: 'count',
    whole: true,
    help: 'Fret or capo the string sounds from: stiffness doubles every six, decay times halve every twelve.',
  },
} as const satisfies Record<string, Field>
