/**
 * The study that a plan is made from: every string of one instrument in one room, plucked often enough for tails, most of the
 * plucks nearly in tune (as a turn leaves them) and some of them far off (as strings are found).
 */
import type { Instrument } from '../instruments/instrument.ts'
import { knownInstruments } from '../instruments/podium.ts'
import { instrumentStrings } from './instrumentstrings.ts'
import type { MethodChoice, Study, StudyRoom } from './study.ts'

/**
 * Of one string at one ratio: so that a run at a single ratio tells what is the string's own. Three near its note and two far off: a string
 * is found far off once, and plucked nearly in tune until it is let go.
 */
const plucksAString = 5
/** Plucks a cell: 40 strings, 120 plucks near and 80 far, so that neither kind has under 50. */
const repeats = 200
/**
 * A turn from 20 c off leaves 3 c (a gain off by 0.15) and 1 c of the peg; let go is at 7 c at most. Where a stage's bass line plays the
 * string's own note it matters how far off that is: whitened-sum lost 0.34 of an E2 within 10 c, 0.55 from 10 to 20 and 0.1 beyond 40.
 */
const nearDetuneCents = 10
/** As a plan's own spread of ratios from pluck to pluck is by default: no two plucks are alike. */
const unevenDb = 4
/**
 * Of the room, learnt by turns: with one, an electric A2 beside a stage lost 1 of 60 plucks, with twelve others 3 to 7 (whitened-sum,
 * seed 99).
 */
const learntStretches = 8
/** A second and a half after the pluck: nobody waits longer for a display before plucking again. */
const takeS = 2
/** What a pair of outside and own methods spans, coarse and fine; the slow outside ones cannot keep up with a stage. */
const methods = [
  'yin',
  'mpm',
  'acf',
  'spectral-peak',
  'harmonic-sum',
  'partial-fit',
  'pitchy',
  'joint-fit',
  'whitened-sum',
]

const methodChoices = (): MethodChoice[] => methods.map((id) => ({ id, values: {} }))

export interface PlanStudyWish {
  /** Absent: the first of the podium. */
  readonly instrument?: Instrument
  readonly room: StudyRoom
  /** Ratios recorded; a plan can be made inside them. */
  readonly snrsDb?: readonly number[]
}

type PlanOutline = Pick<Study, 'strings' | 'rooms' | 'snrsDb' | 'repeats' | 'takeS' | 'methods'> & {
  readonly detuneCents: number
  readonly farDetuneCents: number
  readonly unevenDb: number
  readonly learntStretches: number
  readonly plucksAString: number
}

export const planOutline = ({
  instrument = knownInstruments[0],
  room,
  snrsDb = [-5, 0, 5, 10, 20],
}: PlanStudyWish): PlanOutline => ({
  strings: instrumentStrings(instrument),
  rooms: [room],
  snrsDb,
  repeats,
  takeS,
  methods: methodChoices(),
  detuneCents: nearDetuneCents,
  // As far as an aimed method searches, and as far as a reading may lead to a turn.
  farDetuneCents: 150,
  unevenDb,
  learntStretches,
  plucksAString,
})
