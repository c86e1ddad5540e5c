/**
 * One string plucked again and again in one room: every pluck is rendered anew at the pitch the string has by then, and a method
 * of the study really listens to it, until it claims.
 *
 * Scatter of the string's partials stays (its seed), as on one string of one evening; noise, knock of the pluck, ratio and
 * glide are the pluck's own. Claims are those of score/claim.ts, made before the pluck
 * counts as made at once, as in the records of a plan. Left out: the other strings ring at the pitches they were tuned to, not at
 * those they have.
 */
import type { Spectrum } from '../maths/spectrum.ts'
import { median } from '../maths/statistics.ts'
import { centsBetween, hzFromCents } from '../maths/units.ts'
import { Problem } from '../problem.ts'
import {
  heardSpectrum,
  meanSquareOfFirstSecond,
  mix,
  ownSpectrum,
  renderNoise,
  renderString,
  roomSpectrum,
} from '../scene/render.ts'
import type { Recordings, Scene } from '../scene/scene.ts'
import { openMethod } from './openmethod.ts'
import { ratioIn, surroundingsOf } from './roomscene.ts'
import { stageOffsetDb } from './stage.ts'
import { pluckedHarder, syntheticPluck } from './stringpluck.ts'
import type { Study, StudyRoom, StudyString } from './study.ts'
import { listenUntilClaim } from './untilclaim.ts'

export interface FreshPluck {
  /** Places in the study's lists. */
  readonly string: number
  readonly method: number
  /** How far the string is off its note, cents. */
  readonly residualCents: number
  /** As `snrsDb` of a study speaks of it, for a pluck of usual force. */
  readonly snrDb: number
  /** This pluck over the usual one, dB. */
  readonly harderDb: number
  /** The same for all plucks of a string. */
  readonly stringSeed: number
  /** Of everything else. */
  readonly seed: number
  /** Of the stretch of the room that was learnt. */
  readonly learntSeed: number
}

export interface HeardPluck {
  /** From pluck to claim, s; NaN: none inside the take. */
  readonly lockS: number
  /** Claim minus what the string does, cents; NaN without a claim. */
  readonly errorCents: number
}

export interface FreshPlucks {
  /** @throws Problem when it cannot be rendered. */
  hear(pluck: FreshPluck): HeardPluck
}

/** @throws Problem for a study that has other than one room, a recorded string, or unknown ids or settings. */
export function openFreshPlucks(study: Study, recordings: Recordings = new Map()): FreshPlucks {
  const [room, another] = study.rooms
  if (room === undefined || another !== undefined || room.variant !== 'string')
    throw new Problem('plucks are heard in one room, and with a string', 'rooms')
  const recorded = study.strings.findIndex(({ recording }) => recording !== undefined)
  if (recorded >= 0) throw new Problem('is recorded: it cannot be turned', `strings.${recorded}`)
  const methods = study.methods.map((choice) => openMethod(choice, study.claim))
  const learnt = new Map<string, Spectrum>()
  const { sampleRateHz } = study
  const own = ownSpectrum(room.sensor, sampleRateHz, study.seed)

  const learntRoom = (string: StudyString, { stringSeed, learntSeed }: FreshPluck): Spectrum => {
    const surroundings = surroundingsOf(string, room)
    // Neighbours that ring with the room are those of the string in hand.
    const key = JSON.stringify([string.id, learntSeed, room.drivenDb === undefined ? null : stringSeed])
    const known = learnt.get(key)
    if (known !== undefined) return known
    const setting = { stringSeed, ...surroundings }
    const made = roomSpectrum(room.parts, sampleRateHz, learntSeed, recordings, string.targetHz, setting)
    learnt.set(key, made)
    return made
  }

  return {
    hear(pluck) {
      const string = study.strings[pluck.string]
      const { method, values } = methods[pluck.method]
      const scene = sceneOf(study, string, room, pluck)
      const side = renderString(scene, recordings)
      const { take } = mix(scene, side, renderNoise(scene, side, recordings))
      const truth = take.truth
      if (truth === null) throw new Problem('its pitch is not known', string.id)
      const power = meanSquareOfFirstSecond(side.samples, scene)
      const stream = {
        ...{ sampleRateHz, lowestHz: study.lowestHz, highestHz: study.highestHz },
        targetHz: method.family === 'aimed' ? string.targetHz : null,
        room: study.roomLearnt
          ? heardSpectrum(learntRoom(string, pluck), own, power, scene.room?.snrDb ?? pluck.snrDb)
          : null,
      }
      const { readings, hold } = listenUntilClaim(method, take.samples, stream, values, study.claim)
      if (hold === null) return { lockS: Number.NaN, errorCents: Number.NaN }
      const claimHz = median(readings.slice(hold.first, hold.last + 1).map(({ f0Hz }) => f0Hz))
      return {
        lockS: Math.max(0, hold.lockS - truth.onsetS),
        errorCents: centsBetween(claimHz, truth.settledHz),
      }
    },
  }
}

function sceneOf(study: Study, string: StudyString, room: StudyRoom, pluck: FreshPluck): Scene {
  const { residualCents, snrDb, harderDb, stringSeed, seed } = pluck
  const usual = syntheticPluck(string, study.leadS, hzFromCents(residualCents, string.targetHz))
  return {
    sampleRateHz: study.sampleRateHz,
    durationS: study.takeS,
    ...{ seed, stringSeed, attackSeed: seed },
    plucks: [pluckedHarder(usual, harderDb)],
    noises: [],
    room: {
      parts: room.parts,
      snrDb: ratioIn(room, snrDb) + stageOffsetDb(study, string) + (string.overStudyDb ?? 0) + harderDb,
    },
    ...surroundingsOf(string, room),
    noString: false,
    targetHz: string.targetHz,
  }
}
