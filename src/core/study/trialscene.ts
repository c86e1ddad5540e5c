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
const pluckOf = ({ plucksAnew }: Study, { snrDb }: OfRepeat): readonly number[] => (plucksAnew === true ? [snrDb] : [])

/** How far off its note a string is plucked: the same in every room. A recorded string is as it is. */
export function detuneCentsOf(study: Study, string: string, of: OfRepeat): number {
  const { detuneCents, farDetuneCents = detuneCents } = study
  const detune = randomStream(study.seed, 'detune', string, of.repeat, ...pluckOf(study, of)).uniform()
  return (2 * detune - 1) * (of.repeat % 2 === 1 ? farDetuneCents : detuneCents)
}

/** Of near and of far plucks each: so many in a row have one force from each of as many equally likely parts. */
const forcesInARow = 25

/**
 * How much harder than usual a string is plucked, dB: the same in every room. Of what moves claims most, fifty plucks are not left to
 * luck: forces are drawn from equal parts of the normal distribution in random order (Latin sampling; McKay, Beckman & Conover 1979,
 * Technometrics 21:239-245).
 */
export function harderDbOf(study: Study, string: string, of: OfRepeat): number {
  const { seed, unevenDb = 0 } = study
  if (unevenDb === 0) return 0
  const number = of.repeat >> 1
  const row = Math.floor(number / forcesInARow)
  const order = inRandomOrder(
    forcesInARow,
    randomStream(seed, 'force', string, of.repeat % 2, row, ...pluckOf(study, of)),
  )
  const within = randomStream(seed, 'force', string, of.repeat, ...pluckOf(study, of)).uniform()
  return unevenDb * normalDeviate((order[number % forcesInARow] + within) / forcesInARow)
}

/**
 * Of the stretch of the room that a repeat's methods have learnt; near and far plucks have all of them. The first is that of studies
 * with one only.
 */
export function learntSeedOf({ seed, learntStretches = 1 }: Study, repeat: number): number {
  const stretch = (repeat >> 1) % learntStretches
  return stretch === 0 ? seed : randomStream(seed, 'learnt stretch', stretch).whole(seedValues)
}

/** The scene of a trial as plain JSON: rendered from a file it gives the same samples. */
export function sceneOf(study: Study, string: StudyString, room: StudyRoom, trial: Trial): Scene {
  const detuneCents = detuneCentsOf(study, string.id, trial) + (room.variant === 'wrong-string' ? wrongStringCents : 0)
  const pluck: Pluck =
    string.recording === undefined
      ? pluckedHarder(
          syntheticPluck(string, study.leadS, hzFromCents(detuneCents, string.targetHz)),
          harderDbOf(study, string.id, trial),
        )
      : { onsetS: study.leadS, recording: string.recording }
  const seed = randomStream(study.seed, 'scene', string.id, room.id, trial.snrDb, trial.repeat).whole(seedValues)
  return {
    sampleRateHz: study.sampleRateHz,
    durationS: study.takeS,
    seed,
    ...(study.plucksAnew === true ? { attackSeed: seed } : {}),
    // The same string in every room and at every ratio.
    stringSeed: randomStream(study.seed, 'string', string.id, trial.repeat).whole(seedValues),
    plucks: [pluck],
    noises: [],
    room: {
      parts: room.parts,
      snrDb: ratioIn(room, trial.snrDb) + stageOffsetDb(study, string) + (string.overStudyDb ?? 0),
    },
    ...surroundingsOf(string, room),
    noString: room.variant === 'no-string',
    targetHz: string.targetHz,
  }
}
