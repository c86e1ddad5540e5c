/** What a trial of a study sounds like, and what of it depends on string and repeat only. */
import { normalDeviate } from '../maths/normal.ts'
import { inRandomOrder, randomStream } from '../maths/random.ts'
import { hzFromCents } from '../maths/units.ts'
import type { Pluck, Scene } from '../scene/scene.ts'
import { ratioIn, surroundingsOf } from './roomscene.ts'
import { stageOffsetDb } from './stage.ts'
import { pluckedHarder, syntheticPluck } from './stringpluck.ts'
import type { Study, StudyRoom, StudyString, Trial } from './study.ts'

/** A perfect fourth: the next string up in standard tuning (common practice, no source). */
const wrongStringCents = 500

/** Scene seeds are 32-bit words, exact in JSON. */
const seedValues = 4294967296

/** Which of a repeat's plucks it is. */
type OfRepeat = Pick<Trial, 'repeat' | 'snrDb'>

/** Plucks of one repeat differ by it from ratio to ratio, or not at all. */
const pluckOf = ({ plucksAString }: Study, { snrDb }: OfRepeat): readonly number[] =>
  plucksAString === undefined ? [] : [snrDb]

/** Strings that are plucked by turns until each has its plucks: so the first repeats of a study know more than one. */
const stringsByTurns = 5

/** Which of the study's strings of one kind a repeat plucks, 0, 1, ... */
export function stringOfRepeat({ plucksAString }: Study, repeat: number): number {
  if (plucksAString === undefined) return repeat
  return Math.floor(repeat / (stringsByTurns * plucksAString)) * stringsByTurns + (repeat % stringsByTurns)
}

/** A scale of ratios cannot begin at none. */
const nearestFarCents = 1

/** Of the plucks of a string so many are far off, where a study has that. */
const farOfAString = 2

/** Sort of a repeat: nearly in tune (0) or far off (1, 2: ever farther, where a string has several plucks); and how many of it went before. */
function sortOf({ plucksAString }: Study, repeat: number): { readonly far: number; readonly number: number } {
  if (plucksAString === undefined) return { far: repeat % 2, number: repeat >> 1 }
  const turn = Math.floor(repeat / stringsByTurns)
  const [strings, pluck] = [Math.floor(turn / plucksAString) * stringsByTurns, turn % plucksAString]
  const near = plucksAString - farOfAString
  return pluck < near
    ? { far: 0, number: strings * near + pluck * stringsByTurns + (repeat % stringsByTurns) }
    : { far: pluck - near + 1, number: strings + (repeat % stringsByTurns) }
}

/**
 * How far off its note a string is plucked: the same in every room. A recorded string is as it is. Of several plucks a string those far off
 * lie one in either half, on a scale of ratios, from nearly in tune to the farthest: as they are found, 20 c off is no rarer than 80.
 */
export function detuneCentsOf(study: Study, string: string, of: OfRepeat): number {
  const { detuneCents, farDetuneCents, plucksAString } = study
  const { far } = sortOf(study, of.repeat)
  const random = randomStream(study.seed, 'detune', string, of.repeat, ...pluckOf(study, of))
  const detune = 2 * random.uniform() - 1
  if (far === 0 || farDetuneCents === undefined) return detune * detuneCents
  if (plucksAString === undefined) return detune * farDetuneCents
  const share = (far - 1 + random.uniform()) / farOfAString
  const from = Math.max(nearestFarCents, detuneCents)
  return Math.sign(detune) * from * (farDetuneCents / from) ** share
}

/** Of near plucks and of each sort of far ones: so many in a row have one force from each of as many equally likely parts. */
const forcesInARow = 20

/**
 * How much harder than usual a string is plucked, dB: the same in every room. Of what moves claims most, fifty plucks are not left to
 * luck: forces are drawn from equal parts of the normal distribution in random order (Latin sampling; McKay, Beckman & Conover 1979,
 * Technometrics 21:239-245).
 */
export function harderDbOf(study: Study, string: string, of: OfRepeat): number {
  const { seed, unevenDb = 0 } = study
  if (unevenDb === 0) return 0
  const { far, number } = sortOf(study, of.repeat)
  const row = Math.floor(number / forcesInARow)
  const order = inRandomOrder(forcesInARow, randomStream(seed, 'force', string, far, row, ...pluckOf(study, of)))
  const within = randomStream(seed, 'force', string, of.repeat, ...pluckOf(study, of)).uniform()
  return unevenDb * normalDeviate((order[number % forcesInARow] + within) / forcesInARow)
}

/**
 * Of the stretch of the room that a repeat's methods have learnt: one a string, as for an evening, and near and far plucks have all of
 * them. The first is that of studies with one only.
 */
export function learntSeedOf(study: Study, repeat: number): number {
  const { seed, learntStretches = 1, plucksAString } = study
  const stretch = (plucksAString === undefined ? repeat >> 1 : stringOfRepeat(study, repeat)) % learntStretches
  return stretch === 0 ? seed : randomStream(seed, 'learnt stretch', stretch).whole(seedValues)
}

/** The scene of a trial as plain JSON: rendered from a file it gives the same samples. */
export function sceneOf(study: Study, string: StudyString, room: StudyRoom, trial: Trial): Scene {
  const detuneCents = detuneCentsOf(study, string.id, trial) + (room.variant === 'wrong-string' ? wrongStringCents : 0)
  const harderDb = string.recording === undefined ? harderDbOf(study, string.id, trial) : 0
  const pluck: Pluck =
    string.recording === undefined
      ? pluckedHarder(syntheticPluck(string, study.leadS, hzFromCents(detuneCents, string.targetHz)), harderDb)
      : { onsetS: study.leadS, recording: string.recording }
  const seed = randomStream(study.seed, 'scene', string.id, room.id, trial.snrDb, trial.repeat).whole(seedValues)
  return {
    sampleRateHz: study.sampleRateHz,
    durationS: study.takeS,
    seed,
    ...(study.plucksAString === undefined ? {} : { attackSeed: seed }),
    // The same string in every room and at every ratio.
    stringSeed: randomStream(study.seed, 'string', string.id, stringOfRepeat(study, trial.repeat)).whole(seedValues),
    plucks: [pluck],
    noises: [],
    room: {
      parts: room.parts,
      snrDb: ratioIn(room, trial.snrDb) + stageOffsetDb(study, string) + (string.overStudyDb ?? 0) + harderDb,
    },
    ...surroundingsOf(string, room),
    noString: room.variant === 'no-string',
    targetHz: string.targetHz,
  }
}
