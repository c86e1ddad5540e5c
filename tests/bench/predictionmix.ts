/**
 * A room and an instrument to test predictions on: one long stretch of the room cut into the noise take, the measured plucks and
 * the fresh ones, so that fresh noise is the same room later; strings of their own; plucks that differ by force, place and knock.
 */

import { fill } from '../../src/core/fields.ts'
import { randomStream } from '../../src/core/maths/random.ts'
import { amplitudeRatioFromDb, hzFromCents } from '../../src/core/maths/units.ts'
import { methodById } from '../../src/core/methods/index.ts'
import type { NoiseFigures } from '../../src/core/room/noisetake.ts'
import { noiseFigures } from '../../src/core/room/noisetake.ts'
import { type PredictedString, predictedString } from '../../src/core/room/predictedstring.ts'
import { stringFigures } from '../../src/core/room/stringtake.ts'
import { bodyFields } from '../../src/core/scene/body.ts'
import type { Kind } from '../../src/core/scene/kinds.ts'
import { meanSquareOfFirstSecond, renderString } from '../../src/core/scene/render.ts'
import { noiseSide } from '../../src/core/scene/room.ts'
import type { Scene } from '../../src/core/scene/scene.ts'
import { scoreReadings } from '../../src/core/score/score.ts'
import { roomById, stringById, studyDefaults } from '../../src/core/study/presets.ts'
import { syntheticPluck } from '../../src/core/study/stringpluck.ts'
import type { StudyRoom } from '../../src/core/study/study.ts'
import { listenUntilClaim } from '../../src/core/study/untilclaim.ts'

export const rateHz = 48000
/** Mean square of the room. */
const roomRms = 0.03
/** From pluck to pluck: what predictions take for usual too. */
const pluckSpreadDb = 2
const noiseTakeS = 8
const measuredS = 3
const freshS = 2
const leadS = 0.5

const level = (levelDb: number, id: string) => ({ id, levelDb, values: {} })
export const mixRooms: readonly StudyRoom[] = [
  ...['white', 'stage', 'front-acoustic'].map((id) => roomById(id)),
  { id: 'crowd', parts: [level(0, 'crowd')], variant: 'string' },
  { id: 'rumble-hum', parts: [level(0, 'rumble'), level(-3, 'hum'), level(-15, 'pink')], variant: 'string' },
]
const instruments: readonly { readonly kind: Kind; readonly strings: readonly string[] }[] = [
  ...(['acoustic', 'nylon', 'electric'] as const).map((kind) => ({
    kind,
    strings: ['E2', 'A2', 'D3', 'G3', 'B3', 'E4'],
  })),
  { kind: 'bass', strings: ['E1', 'A1', 'D2', 'G2'] },
]

export interface Mix {
  readonly room: StudyRoom
  readonly kind: Kind
  readonly snrDb: number
  readonly noise: Float32Array
  readonly noiseFigures: NoiseFigures
  /** Those that could be measured. */
  readonly strings: readonly PredictedString[]
  readonly unmeasured: readonly string[]
  /** Pluck `n` of a session over the measured strings, heard by a method. */
  fresh(n: number, methods: readonly string[]): FreshHeard[]
}

export interface FreshHeard {
  readonly method: string
  readonly string: string
  /** NaN: no claim. */
  readonly lockS: number
  readonly claimCents: number
  readonly claim: string
}

export interface MixWish {
  readonly seed: number
  readonly mix: number
  readonly plucks: number
  readonly room?: StudyRoom
  /** Fewer strings for a quick test. */
  readonly strings?: number
}

export function drawnMix({ seed, mix, plucks, room: given, strings: most = 6 }: MixWish): Mix {
  const random = randomStream(seed, 'mix', mix)
  // Every room as often as any other; the instrument and the ratio are drawn.
  const room = given ?? mixRooms[mix % mixRooms.length]
  const { kind, strings: all } = instruments[random.whole(instruments.length)]
  const snrDb = 20 * random.uniform()
  const ids = all.slice(0, most)
  const seconds = noiseTakeS + ids.length * measuredS + plucks * freshS
  const noise = roomNoise(room, seconds, random.whole(2 ** 32))
  const at = (fromS: number, lengthS: number): Float32Array =>
    noise.slice(Math.round(fromS * rateHz), Math.round((fromS + lengthS) * rateHz))
  const own = ids.map((id) => drawnString(id, kind, seed, mix))
  const take = at(0, noiseTakeS)
  const known = ids.map((id) => ({ id, title: id, targetHz: stringById(id).targetHz, stiffness: 0 }))
  const figures = noiseFigures(take, rateHz, known)

  const play = (string: number, durationS: number, name: string, number: number) => {
    const one = own[string]
    const pluckRandom = randomStream(seed, 'pluck', mix, string, name, number)
    const force = pluckSpreadDb * pluckRandom.gaussian()
    const scene: Scene = {
      ...{ sampleRateHz: rateHz, durationS, seed: one.seed, stringSeed: one.seed },
      attackSeed: pluckRandom.whole(2 ** 32),
      plucks: [
        {
          ...one.pluck,
          onsetS: leadS,
          firstPartialHz: hzFromCents(60 * pluckRandom.uniform() - 30, one.pluck.firstPartialHz),
          // A hand finds the place within a tenth, and a stronger pluck starts sharper by its power.
          pickRatio: Math.min(0.5, one.pluck.pickRatio * (1 + 0.1 * pluckRandom.gaussian())),
          glideCents: one.pluck.glideCents * 10 ** (force / 10),
        },
      ],
      ...{ noises: [], room: null, noString: false },
      ...(room.body === undefined ? {} : { body: { id: room.body, ...fill(bodyFields, {}) } }),
      ...(room.sensor === undefined ? {} : { sensor: room.sensor }),
    }
    const { samples, truth } = renderString(scene, new Map())
    const rms = Math.sqrt(meanSquareOfFirstSecond(samples, scene))
    const gain = (roomRms / rms) * amplitudeRatioFromDb(snrDb + one.overDb + force)
    return { samples: samples.map((value) => gain * value), truth }
  }
  const sum = (a: Float32Array, b: Float32Array): Float32Array => a.map((value, i) => value + (b[i] ?? 0))

  const measured = known.map((string, place) => {
    const { samples } = play(place, measuredS, 'measured', 0)
    const heard = sum(samples, at(noiseTakeS + place * measuredS, measuredS))
    return predictedString(stringFigures(heard, rateHz, string, figures), figures, { ...string, stiffness: 5e-5, kind })
  })
  const places = measured.flatMap((string, place) => (string === null ? [] : [place]))
  return {
    ...{ room, kind, snrDb, noise: take, noiseFigures: figures },
    strings: measured.filter((string) => string !== null),
    unmeasured: ids.filter((_, place) => measured[place] === null),
    fresh(n, methods) {
      const place = places[n % places.length]
      const { samples, truth } = play(place, freshS, 'fresh', n)
      const heard = sum(samples, at(noiseTakeS + ids.length * measuredS + n * freshS, freshS))
      if (truth === null) throw new Error('a synthetic string has a truth')
      return methods.map((id) => {
        const method = methodById(id)
        const targetHz = method.family === 'aimed' ? known[place].targetHz : null
        const { lowestHz, highestHz, claim: settings } = studyDefaults
        const stream = { sampleRateHz: rateHz, lowestHz, highestHz, targetHz, room: figures.spectrum }
        const { readings } = listenUntilClaim(method, heard, stream, fill(method.fields, {}), settings)
        const { lockS, claimCents, claim } = scoreReadings({
          readings,
          sampleRateHz: rateHz,
          truth,
          twin: null,
          settings,
        })
        return { method: id, string: known[place].id, lockS, claimCents, claim }
      })
    },
  }
}

function roomNoise(room: StudyRoom, seconds: number, seed: number): Float32Array {
  const length = Math.round(seconds * rateHz)
  const setting = {
    sampleRateHz: rateHz,
    random: randomStream(seed, 'room'),
    ...{ pluck: null, onsetS: 0, recordings: new Map() },
    where: room.parts.map(() => ''),
  }
  const way = { stringSeed: 1, ...(room.sensor === undefined ? {} : { sensor: room.sensor }) }
  const samples = noiseSide(length, room.parts, setting, way, { from: 0, to: length })
  let squares = 0
  for (let i = 0; i < length; i++) squares += samples[i] * samples[i]
  const gain = roomRms / Math.sqrt(squares / length)
  // Minutes of samples: a loop takes a tenth of the time of `Float32Array.from`.
  const scaled = new Float32Array(length)
  for (let i = 0; i < length; i++) scaled[i] = gain * samples[i]
  return scaled
}

/** Of the kind, each setting off its usual value as strings are; wide guesses, no source. */
function drawnString(id: string, kind: Kind, seed: number, mix: number) {
  const random = randomStream(seed, 'string', mix, id)
  const { targetHz, pluck } = stringById(id)
  const usual = syntheticPluck({ id, targetHz, kind, pluck: { stiffness: pluck.stiffness ?? 5e-5 } }, leadS, targetHz)
  return {
    seed: random.whole(2 ** 32),
    overDb: 2 * random.gaussian(),
    pluck: {
      ...usual,
      stiffness: usual.stiffness * Math.exp(0.2 * random.gaussian()),
      decayS: usual.decayS * Math.exp(0.3 * random.gaussian()),
      pickRatio: 0.08 + 0.12 * random.uniform(),
      levelSlopeDb: usual.levelSlopeDb + 2 * random.gaussian(),
      firstPartialOffsetCents: usual.firstPartialOffsetCents + 1.2 * random.gaussian(),
      glideCents: 3 * Math.exp(0.6 * random.gaussian()),
    },
  }
}
