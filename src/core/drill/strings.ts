/** The strings of an exercise as they stand at the start: pitches, pegs, how far off, all from the instruments and the seed. */
import { instrumentFigures } from '../instruments/figures.ts'
import { instrumentById } from '../instruments/podium.ts'
import { randomStream } from '../maths/random.ts'
import { type Coupling, fixedCoupling, floatingCoupling } from '../plan/coupling.ts'
import { planString } from '../plan/planstring.ts'
import type { PlanString } from '../plan/records.ts'
import { instrumentLevelDbfs, instrumentStrings } from '../study/instrumentstrings.ts'
import type { StudyString } from '../study/study.ts'
import type { Exercise } from './exercise.ts'
import { VirtualPegs } from './peg.ts'

export interface DrillString {
  /** Which of the exercise's instruments. */
  readonly set: number
  /** Place of its peg among all strings of its instrument, lowest first. */
  readonly peg: number
  /** "A2". */
  readonly title: string
  readonly study: StudyString
  readonly plan: PlanString
}

const seedValues = 4294967296

/** In the order in which they are worked through. */
export function drillStrings(exercise: Exercise): readonly DrillString[] {
  return exercise.sets.flatMap(({ instrument, strings }, set) => {
    const all = planned(instrument)
    return strings.map((number): DrillString => {
      const peg = all.length - number
      const { study, plan } = all[peg]
      return { set, peg, title: plan.title, study, plan }
    })
  })
}

/** Of whatever is drawn for a string's own sound: the same whoever renders it. */
export const stringSeed = (seed: number, string: number): number =>
  randomStream(seed, 'drill', 'string', string).whole(seedValues)

/** Of the noise of one pluck. */
export const pluckSeed = (seed: number, string: number, pluck: number): number =>
  randomStream(seed, 'drill', 'pluck', string, pluck).whole(seedValues)

export const roomSeed = (seed: number): number => randomStream(seed, 'drill', 'room').whole(seedValues)

/** Pegs of each instrument of the exercise. Strings that are not part of the work start on their notes. */
export function drillPegs(exercise: Exercise, seed: number): readonly VirtualPegs[] {
  const strings = drillStrings(exercise)
  return exercise.sets.map(({ instrument }, set) => {
    const all = planned(instrument).map(({ plan }) => plan)
    const startCents = all.map(() => 0)
    for (const [at, string] of strings.entries()) {
      if (string.set === set) startCents[string.peg] = startOf(exercise, seed, at)
    }
    const startPlay = all.map((_, peg) => randomStream(seed, 'drill', 'play', set, peg).uniform())
    return new VirtualPegs({
      centsPerDegree: all.map(({ centsPerDegree }) => centsPerDegree),
      coupling: couplingOf(exercise, all),
      ...{ backlashDeg: exercise.backlashDeg, slackCents: exercise.slackCents, startCents, startPlay },
    })
  })
}

function couplingOf({ bridge, coupling, bridgeNPerMm }: Exercise, all: readonly PlanString[]): Coupling {
  return bridge === 'fixed' ? fixedCoupling(all.length, coupling) : floatingCoupling(all, bridgeNPerMm)
}

/** Evenly drawn between the two limits, on the side that is asked for. */
function startOf({ startFromCents, startToCents, startSide }: Exercise, seed: number, string: number): number {
  const random = randomStream(seed, 'drill', 'start', string)
  const off = startFromCents + (startToCents - startFromCents) * random.uniform()
  const sharp = startSide === 'both' ? random.uniform() < 0.5 : startSide === 'sharp'
  return sharp ? off : -off
}

/** 12 dB under a study's strings: a room louder than its string still fits under full scale. */
export const drillLevelDbfs = instrumentLevelDbfs - 12

type Planned = readonly { readonly study: StudyString; readonly plan: PlanString }[]

/** The podium's instruments never change, and a session is opened for every score. */
const known = new Map<string, Planned>()

function planned(id: string): Planned {
  const found = known.get(id) ?? plannedAnew(id)
  known.set(id, found)
  return found
}

/** Lowest string first. */
function plannedAnew(id: string): Planned {
  const instrument = instrumentById(id)
  const figures = instrumentFigures(instrument)
  return instrumentStrings(instrument).map((study, place) => ({
    study: { ...study, pluck: { ...study.pluck, levelDbfs: drillLevelDbfs } },
    plan: planString(study, figures, instrument, figures.strings.length - place),
  }))
}
