/** What a trial of a study sounds like, and what of it depends on string and repeat only. */
import { normalDeviate } from '../maths/normal.ts'
import { randomStream } from '../maths/random.ts'
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

/** How far off its note a repeat's string is plucked: the same in every room and at every ratio. A recorded string is as it is. */
export function detuneCentsOf(study: Study, string: string, repeat: number): number {
  const { detuneCents, farDetuneCents = detuneCents } = study
  const detune = randomStream(study.seed, 'detune', string, repeat).uniform()
  return (2 * detune - 1) * (repeat % 2 === 1 ? farDetuneCents : detuneCents)
}

/**
 * How much harder than usual a repeat's string is plucked, dB: the same in every room and at every ratio. Normal deviates at places
 * that steps of the golden section leave evenly spread, however many repeats there are (Kronecker's sequence; Niederreiter 1992,
 * Random Number Generation and Quasi-Monte Carlo Methods, chapter 3): of what moves claims most, fifty plucks are not left to
 * luck. Near and far plucks have a sequence each, begun anywhere.
 */
export function harderDbOf({ seed, unevenDb = 0 }: Study, string: string, repeat: number): number {
  if (unevenDb === 0) return 0
  const start = randomStream(seed, 'force', string, repeat % 2).uniform()
  const place = start + goldenSection * (repeat >> 1)
  return unevenDb * normalDeviate(place - Math.floor(place))
}

const goldenSection = (Math.sqrt(5) - 1) / 2

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
  const detuneCents =
    detuneCentsOf(study, string.id, trial.repeat) + (room.variant === 'wrong-string' ? wrongStringCents : 0)
  const pluck: Pluck =
    string.recording === undefined
      ? pluckedHarder(
          syntheticPluck(string, study.leadS, hzFromCents(detuneCents, string.targetHz)),
          harderDbOf(study, string.id, trial.repeat),
        )
      : { onsetS: study.leadS, recording: string.recording }
  return {
    sampleRateHz: study.sampleRateHz,
    durationS: study.takeS,
    seed: randomStream(study.seed, 'scene', string.id, room.id, trial.snrDb, trial.repeat).whole(seedValues),
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
