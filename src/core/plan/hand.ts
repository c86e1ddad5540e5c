/**
 * The person who tunes, as numbers: how long each move takes and how near a turn comes to what was meant.
 *
 * Every default is an assumption: no measurement is behind it. Times are those of one hand that mutes, plucks and turns one peg
 * at a time.
 */
import { type Fields, fill, type Values } from '../fields.ts'

export const handFields = {
  pluckS: { default: 0.8, min: 0.4, max: 1.5, unit: 's', help: 'Find the string, mute the others, pluck.' },
  reactionS: { default: 0.35, min: 0.25, max: 0.7, unit: 's', help: 'From a settled reading to the hand at the peg.' },
  turnStartS: { default: 0.35, min: 0.1, max: 1.5, unit: 's', help: 'What every turn takes, however small.' },
  turnDegPerS: { default: 60, min: 10, max: 360, unit: 'deg/s', help: 'How fast the peg is turned.' },
  turnGainSd: {
    default: 0.15,
    min: 0,
    max: 0.4,
    unit: 'ratio',
    help: 'Spread of a turn about the one that was meant, as a share of it.',
  },
  pegStepDeg: {
    default: 0.7,
    min: 0,
    max: 3,
    unit: 'deg',
    help: 'Spread of where the peg comes to rest, whatever the turn.',
  },
  undershootCents: {
    default: 6,
    min: 0,
    max: 30,
    unit: 'c',
    help: 'How far under pitch a sharp string is let down, to come up again from flat.',
  },
  backlashDeg: {
    default: 2,
    min: 0,
    max: 40,
    unit: 'deg',
    help: 'Peg that turns without effect when the way is reversed.',
  },
  startMeanCents: {
    default: -8,
    min: -150,
    max: 150,
    unit: 'c',
    help: 'Where strings stand on average when the work begins.',
  },
  startSdCents: { default: 15, min: 0, max: 100, unit: 'c', help: 'How far strings stand apart when the work begins.' },
} as const satisfies Fields

/** What the work is done under, besides the hand. */
export const workFields = {
  coupling: {
    default: 0.01,
    min: 0,
    max: 0.5,
    unit: 'ratio',
    help: 'Fixed bridge: what every other string loses of each cent a string is raised.',
  },
  bridgeNPerMm: {
    default: 100,
    min: 5,
    max: 1000,
    unit: 'N/mm',
    help: 'Floating bridge: pull per millimetre of its springs, N/mm.',
  },
  morePasses: {
    default: 1,
    min: 0,
    max: 3,
    unit: 'count',
    whole: true,
    help: 'Passes of the last stage after its first.',
  },
  unevenDb: { default: 4, min: 0, max: 12, unit: 'dB', help: 'Spread of the ratio from pluck to pluck.' },
  timeOutS: {
    default: 1.5,
    min: 0.3,
    max: 10,
    unit: 's',
    help: 'A pluck without a settled reading is given up after this.',
  },
  matrixErrorShare: {
    default: 0.1,
    min: 0,
    max: 0.5,
    unit: 'ratio',
    help: 'How well the pull of one string on the others is known, as a share.',
  },
} as const satisfies Fields

export type Hand = Values<typeof handFields>
export type Work = Values<typeof workFields>

export const defaultHand: Hand = fill(handFields, {})
export const defaultWork: Work = fill(workFields, {})

/** Farther off than this a reading is an octave, a neighbour or noise: pluck again, never turn. A wrong turn can break a string. */
export const neverTurnCents = 150
/** Plucks in a row without a usable reading after which a string is left unverified. */
export const failedPlucks = 2
