/**
 * What to expect of each method in a room that was heard for a few seconds, as a study: the strings as one pluck showed them, in
 * the noise take itself.
 *
 * A study's string stands for one that the take allows, drawn from how far its figures may be off; every second one is off by
 * as much the other way, which makes mean and variance of so few right where effects are proportional; the glide of the pluck,
 * which moves claims most, is drawn evenly from what is left open of it, on each string and over all. A study's room stands for a
 * stretch of the noise take, a study's ratio for pluck and string a deviation softer or louder than measured; harder plucks glide further.
 * So what a take leaves open is in the outcomes side by side, and `predictionOf` tells how much each matters. Methods learn
 * the room from the whole take. What a room does later than the take, nobody can tell from it.
 *
 * To run it, on a page as anywhere:
 *
 *     const { study, recordings } = predictionStudy({ noise, strings, methods, seed })
 *     const outcomes: Outcome[] = []
 *     await runStudy({ study, recordings, spawn: browserPort, jobs: 2, trials: predictionTrials(study),
 *       onTrial: (_, run) => outcomes.push(...run.outcomes) })
 *     const predicted = predictionOf(strings, outcomes, { plucks: 30, seed })
 */
import { inRandomOrder, type Random, randomStream } from '../maths/random.ts'
import { mean } from '../maths/statistics.ts'
import { dbFromPowerRatio } from '../maths/units.ts'
import { Problem } from '../problem.ts'
import type { PartialLists, Recordings } from '../scene/scene.ts'
import { studyDefaults } from '../study/presets.ts'
import type { MethodChoice, Study, StudyRoom, StudyString } from '../study/study.ts'
import type { PredictedPartial, PredictedString } from './predictedstring.ts'

export interface PredictionWish {
  /** The noise take, strings damped: mono, as recorded. */
  readonly noise: { readonly samples: Float32Array; readonly sampleRateHz: number }
  readonly strings: readonly PredictedString[]
  readonly methods: readonly MethodChoice[]
  readonly seed: number
  /** Pairs of strings drawn for each of the strings; absent: as many as make twelve. */
  readonly pairs?: number
}

/** The study and what it plays, for `runStudy`. */
export interface PredictionStudy {
  readonly study: Study
  readonly recordings: Recordings
}

/**
 * Two pairs for each of six strings: with one, a string is off by its one deviate or by as much the other way, and medians over
 * six such strings spread by too little.
 */
const fewestPairs = 12
/** Of the noise take. More would overlap more: a take of 8 s holds four trials. */
const stretches = 4
/** Time to claim, after a lead in which early claims can be seen. */
const takeS = 2
const leadS = 0.5
/** The take, and room for four places in it that are not the same. */
const shortestNoiseS = 3
const recordingId = 'noise take'

/** @throws Problem without strings or methods, or for a noise take under 3 s. */
export function predictionStudy({
  noise,
  strings,
  methods,
  seed,
  pairs = Math.ceil(fewestPairs / Math.max(1, strings.length)),
}: PredictionWish): PredictionStudy {
  if (strings.length === 0) throw new Problem('no string was measured well enough to predict from', 'strings')
  if (methods.length === 0) throw new Problem('there is none', 'methods')
  const { sampleRateHz } = noise
  const noiseS = noise.samples.length / sampleRateHz
  if (noiseS < shortestNoiseS) {
    throw new Problem(`${noiseS.toFixed(2)} s of noise are below ${shortestNoiseS} s`, 'noise.samples')
  }
  const offset = mean(noise.samples)
  const samples = noise.samples.map((sample) => sample - offset)
  const step = levelStepDb(strings)
  const snrsDb = step === 0 ? [0] : [-step, step]
  const glides = evenly(strings.length, pairs, randomStream(seed, 'drawn glides'))
  const study: Study = {
    ...studyDefaults,
    id: 'prediction',
    seed,
    sampleRateHz,
    ...{ takeS, leadS, repeats: 1, untilClaim: true as const },
    strings: strings.flatMap((string, at) =>
      Array.from({ length: 2 * pairs }, (_, draw) => {
        const pair = draw >> 1
        const way = draw % 2 === 0 ? 1 : -1
        const random = randomStream(seed, 'drawn string', string.id, pair)
        const drawn = drawnString(string, 0.5 + way * glides[at * pairs + pair], () => way * random.gaussian())
        return snrsDb.map((_db, level) => pluckedAt(drawn, string, draw * snrsDb.length + level, snrsDb[level]))
      }).flat(),
    ),
    rooms: stretchesOf(noiseS - takeS),
    snrsDb,
    methods,
  }
  const unknown = Number.NaN
  const recording = { id: recordingId, sampleRateHz, samples, onsetS: unknown, f1Hz: unknown }
  return { study, recordings: new Map([[recordingId, recording]]) }
}

/**
 * Those of its trials that are to be run: each drawn string hears every second stretch, at the two levels by turns and plucked with the
 * force of that level, its counterpart the others. Every stretch, level and string weighs as much as in the whole.
 */
export function predictionTrials(study: Study): number[] {
  const levels = study.snrsDb.length
  const rooms = study.rooms.length
  return study.strings.flatMap((_, string) => {
    const [drawn, level] = [Math.floor(string / levels), string % levels]
    return study.rooms.flatMap((_room, room) => {
      const heard = (drawn + room) % 2 === 0 && ((drawn >> 1) + (room >> 1)) % levels === level
      return heard ? [(string * rooms + room) * levels + level] : []
    })
  })
}

/** How far two equally likely levels stand from the middle so that they scatter as what is not known does, to 0.001 dB. */
export function levelStepDb(strings: readonly PredictedString[]): number {
  const square = mean(strings.map(({ ratioSpreadDb, ratioErrorDb }) => ratioSpreadDb ** 2 + ratioErrorDb ** 2))
  return Math.round(1000 * Math.sqrt(square)) / 1000
}

/** Of which string a study's string was drawn, and its number: those of one draw follow each other, one a level. */
export function drawnOf(id: string): { readonly string: string; readonly number: number } {
  const at = id.lastIndexOf(' #')
  return { string: id.slice(0, at), number: Number(id.slice(at + 2)) }
}

function stretchesOf(spareS: number): StudyRoom[] {
  const withinS = spareS / stretches
  return Array.from({ length: stretches }, (_, at): StudyRoom => {
    const values = { fromS: at * withinS, withinS }
    const part = { id: 'recorded', levelDb: 0, values, recording: recordingId, asRecorded: true as const }
    return { id: `stretch ${at + 1}`, parts: [part], variant: 'string' }
  })
}

/** What is usual for a kind but stands in the measured partials, two slopes of decay as one. */
const measuredAlready = { firstPartialOffsetCents: 0, partialScatterCents: 0, lateEarlyRatio: 1 }

/**
 * For each of `pairs` of each string a number from 0 to 0.5, one from each of so many equal parts on every string, and over all
 * strings one from each of so many parts of those, in random order (McKay, Beckman & Conover 1979, Technometrics 21:239-245): of
 * what matters most, few drawn strings must hold small and large in turn, not what luck gives.
 */
function evenly(strings: number, pairs: number, random: Random): number[] {
  const values = new Array<number>(strings * pairs)
  for (let pair = 0; pair < pairs; pair++) {
    for (const [at, part] of inRandomOrder(strings, random).entries())
      values[at * pairs + pair] = (0.5 * (pair + (part + random.uniform()) / strings)) / pairs
  }
  return values
}

/** A string that the take allows, plucked with usual force. */
type DrawnString = Omit<StudyString, 'id' | 'pluck'> & {
  readonly pluck: { readonly stiffness: number; readonly glideCents: number }
}

/** `glide`: from 0 to 1, which of the likely ones. `deviate` each time: of a standard normal. */
function drawnString(string: PredictedString, glide: number, deviate: () => number): DrawnString {
  const { targetHz, kind = 'electric', partials, ratioDb, glidesCents } = string
  const glideCents = glidesCents[Math.min(glidesCents.length - 1, Math.floor(glide * glidesCents.length))]
  const stiffness = Math.max(0, string.stiffness + string.stiffnessSpread * deviate())
  return {
    ...{ targetHz, kind, pluck: { stiffness, glideCents } },
    partials: drawnPartials(partials, deviate),
    overStudyDb: ratioDb,
  }
}

/** Of the glide field. */
const longestGlideCents = 50

/** At a level over or under the usual one plucks are harder or softer, and glide by their power. */
function pluckedAt(
  drawn: DrawnString,
  { id, ratioSpreadDb }: PredictedString,
  number: number,
  levelDb: number,
): StudyString {
  const glideCents = drawn.pluck.glideCents * 10 ** ((Math.sign(levelDb) * ratioSpreadDb) / 10)
  return {
    ...drawn,
    id: `${id} #${number}`,
    pluck: { ...drawn.pluck, glideCents: Math.min(longestGlideCents, glideCents), ...measuredAlready },
  }
}

/** Limits of the settings that they become. */
const [shortestDecayS, longestDecayS] = [0.05, 600]
const mostOffsetCents = 50

function drawnPartials(partials: readonly PredictedPartial[], deviate: () => number): PartialLists {
  const [higher, steeper] = [deviate(), deviate()]
  const drawn = partials.map((one) => {
    const { height, tilt } = one.lineSpreadDb
    const level = one.levelDb + one.levelSpreadDb * deviate() + height * higher + tilt * steeper
    const decay = one.decayS * Math.exp(one.decaySpread * deviate())
    const offset = one.offsetCents + one.offsetSpreadCents * deviate()
    const decayS = Math.min(longestDecayS, Math.max(shortestDecayS, decay))
    return {
      levelDb: onsetLevelDb(Math.min(one.mostDb, level), decayS),
      decayS,
      offsetCents: Math.max(-mostOffsetCents, Math.min(mostOffsetCents, offset)),
    }
  })
  const strongest = Math.max(...drawn.map(({ levelDb }) => levelDb))
  return {
    partialLevelsDb: drawn.map(({ levelDb }) => Math.max(-199, levelDb - strongest)),
    partialDecaysS: drawn.map(({ decayS }) => decayS),
    partialOffsetsCents: drawn.map(({ offsetCents }) => offsetCents),
  }
}

/** A partial of T60 `decayS` has fallen from its onset to (1 - exp(-x)) / x of its power on the mean of a second, x = 6 ln 10 / T60. */
function onsetLevelDb(levelDb: number, decayS: number): number {
  const fall = (6 * Math.LN10) / decayS
  return levelDb - dbFromPowerRatio(-Math.expm1(-fall) / fall)
}
