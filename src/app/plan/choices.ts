/**
 * Everything a plan depends on, as one value: whose strings, in which room, how much time, how true, by whose hand. The study that
 * records what the plan needs follows from it, and so does what the planner is asked.
 */
import type { Instrument } from '../../core/instruments/instrument.ts'
import { knownInstruments } from '../../core/instruments/podium.ts'
import type { DisplaySettings } from '../../core/methods/displayed.ts'
import { defaultHand, defaultWork, type Hand, type Work } from '../../core/plan/hand.ts'
import type { PlanWanted } from '../../core/plan/outcome.ts'
import { defaultChance, type PlanRequest } from '../../core/plan/plan.ts'
import { planStudy, roomById } from '../../core/study/presets.ts'
import type { MethodChoice, Study, StudyRoom } from '../../core/study/study.ts'
import type { WhatIfId } from './whatif.ts'

/** A hand that was measured on a real instrument: what it came to, from how many turns. */
export interface MeasuredHand {
  readonly hand: Partial<Hand>
  /** 95 %, of the fields that have one. */
  readonly intervals: Readonly<Partial<Record<keyof Hand, readonly [number, number]>>>
  /** Pluck-turn-pluck pairs. */
  readonly n: number
}

export interface PlanChoices {
  readonly instrument: Instrument
  readonly room: StudyRoom
  /** Ratios recorded, rising. */
  readonly snrsDb: readonly number[]
  readonly methods: readonly MethodChoice[]
  /** Whether every method without a display is also recorded behind a slow one. */
  readonly slowToo: boolean
  /** Plucks a cell. */
  readonly repeats: number
  /** The ratio the plan is for. */
  readonly snrDb: number
  readonly budgetS: number
  readonly withinCents: number
  readonly wantedChance: number
  readonly bridge: PlanRequest['bridge']
  readonly hand: Hand
  /** null: no figure of the hand was measured. */
  readonly measured: MeasuredHand | null
  readonly work: Work
  readonly offsetsKnown: boolean
  /** Of the imagined evenings. */
  readonly seed: number
  readonly whatIf: readonly WhatIfId[]
}

/** As slow as displays that show a settled value are met (assumption). */
export const slowDisplay: DisplaySettings = { averagingMs: 600, updateHz: 15, inRangeCents: 0, gateDb: -120 }

/** Three that are quick to compute, blind and aimed, and one that is not but can finish: a first plan stands within seconds. */
const firstMethods = ['yin', 'harmonic-sum', 'partial-fit', 'joint-fit'] as const

/** Where that instrument is tuned during a show. */
const firstRoom = 'wings-solid'

const [firstInstrument] = knownInstruments

export const firstChoices: PlanChoices = {
  instrument: firstInstrument as Instrument,
  room: roomById(firstRoom),
  // One noisier for what was too rare to be recorded, one quieter: "5 dB less noise" has an answer.
  snrsDb: [5, 10, 15],
  methods: firstMethods.map((id) => ({ id, values: {} })),
  slowToo: false,
  // Fifteen strings of each kind, five times; below 50 no tails are quoted.
  repeats: 75,
  snrDb: 10,
  // Within reach there with time left: ±5 c takes 53 s, ±4 c 67 s, ±3 c is never reached, for a claim a third of a second after the pluck still
  // hears the glide and reads 1 to 3 c sharp, a hard pluck more (75 plucks, wanted in 80 of 100 runs).
  budgetS: 90,
  withinCents: 5,
  wantedChance: defaultChance,
  bridge: 'fixed',
  hand: defaultHand,
  measured: null,
  work: defaultWork,
  offsetsKnown: false,
  seed: 1,
  whatIf: [],
}

/** Limits of what a person sets beside the hand. */
export const planFields = {
  budgetS: { default: 90, min: 10, max: 240, unit: 's', whole: true, help: 'Time there is for this instrument.' },
  withinCents: { default: 5, min: 0.5, max: 20, unit: 'c', help: 'How true every string has to end.' },
  wantedChance: {
    default: defaultChance,
    min: 0.5,
    max: 0.98,
    unit: 'ratio',
    help: 'Share of runs that have to end so: 0.8 is four evenings in five.',
  },
  repeats: {
    default: 75,
    min: 4,
    max: 200,
    unit: 'count',
    whole: true,
    help: 'Plucks of every string at every ratio.',
  },
  seed: { default: 1, min: 1, max: 999_999, unit: 'count', whole: true, help: 'Of the imagined evenings.' },
} as const

/** The study whose outcomes the plan is drawn from. The choices' own methods come first, in their order. */
export function studyOf({ instrument, room, snrsDb, methods, slowToo, repeats }: PlanChoices): Study {
  const slow = slowToo ? methods.filter(({ display }) => display === undefined).map(behindSlow) : []
  const known = new Set(methods.map((choice) => JSON.stringify(choice)))
  return {
    ...planStudy({ instrument, room, snrsDb }),
    repeats,
    methods: [...methods, ...slow.filter((choice) => !known.has(JSON.stringify(choice)))],
  }
}

export const behindSlow = ({ id, values }: MethodChoice): MethodChoice => ({ id, values, display: slowDisplay })

export const wantedOf = ({ budgetS, withinCents, wantedChance }: PlanChoices): PlanWanted => ({
  budgetS,
  withinCents,
  wantedChance,
})

/** What the planner is asked, records aside. */
export type Request = Omit<PlanRequest, 'records'>

export const requestOf = ({ snrDb, bridge, hand, work, offsetsKnown, seed }: PlanChoices): Request => ({
  ...{ snrDb, bridge, hand, work, offsetsKnown, seed },
})

/** Where a figure of the hand comes from. */
export type HandSource = 'assumption' | 'changed' | 'measured'

export function sourceOf({ hand, measured }: PlanChoices, name: keyof Hand): HandSource {
  if (measured !== null && measured.hand[name] === hand[name]) return 'measured'
  return hand[name] === defaultHand[name] ? 'assumption' : 'changed'
}

export interface Use {
  readonly withinCents: number
  readonly word: string
}

/** By what is heard of it: alone, as the player says, among others, low down. */
export function usesOf({ toleranceCents, kind }: Instrument): readonly Use[] {
  const usual: readonly Use[] = [
    { withinCents: 2, word: 'exposed' },
    { withinCents: 4, word: 'dense band' },
    { withinCents: 5, word: kind === 'bass' ? 'bass' : 'loud band' },
  ]
  const own = usual.some(({ withinCents }) => withinCents === toleranceCents)
  return own
    ? usual
    : [...usual, { withinCents: toleranceCents, word: 'this player' }].sort((a, b) => a.withinCents - b.withinCents)
}

/**
 * Seconds from beat to beat of two strings this far apart: 1 / (f (2^(c/1200) - 1)), about 1731 / (c f). Two cents on E4 make one
 * in 2.6 s.
 */
export const beatS = (cents: number, hz: number): number => 1 / (hz * (2 ** (cents / 1200) - 1))
