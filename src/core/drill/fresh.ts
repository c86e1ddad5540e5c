/**
 * What the methods of an exercise really say of its strings: every pluck is rendered at the pitch the string has by then and listened
 * to behind the exercise's displays (study/freshpluck.ts). So the best way on a seed is played by ear, not by figures.
 */
import { openFreshPlucks } from '../study/freshpluck.ts'
import { studyDefaults } from '../study/presets.ts'
import type { Study } from '../study/study.ts'
import { drillRoom, type Exercise } from './exercise.ts'
import { type Detector, waitS } from './policy.ts'
import { drillStrings, pluckSeed, roomSeed, stringSeed } from './strings.ts'

/** The study that an exercise's plucks belong to: strings and methods in the exercise's order. */
export function drillStudy(exercise: Exercise, seed: number): Study {
  return {
    ...studyDefaults,
    id: exercise.id,
    seed,
    takeS: studyDefaults.leadS + waitS,
    strings: drillStrings(exercise).map(({ study }) => study),
    rooms: [drillRoom(exercise.room)],
    snrsDb: [exercise.snrDb],
    repeats: 1,
    methods: exercise.methods.map(({ letGoCents: _, ...choice }) => choice),
  }
}

/** @throws Problem when a string cannot be rendered. */
export function freshDetector(exercise: Exercise, seed: number): Detector {
  const plucks = openFreshPlucks(drillStudy(exercise, seed))
  const { snrDb } = exercise
  const learntSeed = roomSeed(seed)
  return {
    hear({ string, method, residualCents, pluck }) {
      const { lockS, errorCents } = plucks.hear({
        ...{ string, method, residualCents, snrDb, harderDb: 0, learntSeed },
        stringSeed: stringSeed(seed, string),
        seed: pluckSeed(seed, string, pluck),
      })
      return { lockS, cents: residualCents + errorCents }
    },
  }
}
