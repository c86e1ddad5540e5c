/**
 * What an instrument sounds like while its player's hand is measured: rendered plucks of one string, turned between them by a
 * hand whose every move is known. It does what the guide asks for, hearing the string's true pitch.
 */
import { LivePlucks } from '../../src/core/drill/liveplucks.ts'
import { instrumentFigures } from '../../src/core/instruments/figures.ts'
import { instrumentById } from '../../src/core/instruments/podium.ts'
import { randomStream } from '../../src/core/maths/random.ts'
import { hzFromCents } from '../../src/core/maths/units.ts'
import { beginHand, guidedHand } from '../../src/core/plan/handguide.ts'
import { instrumentStrings } from '../../src/core/study/instrumentstrings.ts'
import { syntheticPluck } from '../../src/core/study/stringpluck.ts'

export const instrumentId = 'ring-rhythm'
/** Third string from the thick end, D3. */
const stringAt = 2

export interface PlantedTurn {
  readonly askedCents: number
  readonly movedCents: number
  /** From the moment a pluck settles, 0.6 s after it, to the first move. */
  readonly reactionS: number
  readonly turnS: number
}

export interface HandPerformance {
  readonly samples: Float32Array
  readonly noteHz: number
  readonly centsPerDegree: number
  /** Upwards only, in order: those that count. */
  readonly turns: readonly PlantedTurn[]
  /** Moved over asked, in the middle. */
  readonly gain: number
}

const settleS = 0.6
export const betweenS = 2.2
/** No sample comes near full scale. */
const levelDbfs = -22
const gain = 0.9
/** Two and two of a size, so that the middle is `gain` exactly. */
const deviations = [0.02, -0.05, 0.08, -0.02, 0.05, -0.08, 0.12, -0.12] as const
const degPerS = 60
const beginS = 0.15
const reactionS = 0.3
/** A reading wrong by less cannot make the page ask for another turn than this hand makes. */
const clearCents = 2

export function handPerformance(rateHz: number, leadS: number, pairs: number): HandPerformance {
  const instrument = instrumentById(instrumentId)
  const study = instrumentStrings(instrument)[stringAt]
  if (study === undefined) throw new Error('no such string')
  const { strings } = instrumentFigures(instrument)
  const perDegree = strings[strings.length - 1 - stringAt]?.centsPerDegree.value ?? Number.NaN
  const random = randomStream(71, 'hand performance')
  const room = Float32Array.from({ length: rateHz }, () => 2e-4 * random.gaussian())
  const live = new LivePlucks({
    sampleRateHz: rateHz,
    strings: [
      { pluck: syntheticPluck({ ...study, pluck: { ...study.pluck, levelDbfs } }, 0, study.targetHz), seed: 7 },
    ],
    room,
    roomGain: 1,
  })
  const sampleAt = (seconds: number): number => Math.round(seconds * rateHz)
  const hzAt = (cents: number): number => hzFromCents(cents, study.targetHz)

  const turns: PlantedTurn[] = []
  let [cents, atS] = [-138, leadS]
  let guide = beginHand([])
  while (turns.length <= pairs) {
    live.obey({ kind: 'pluck', string: 0, f1Hz: hzAt(cents), seed: turns.length, atSample: sampleAt(atS) })
    const heard = { cents, spreadCents: 0.1, reactionS: Number.NaN, turnS: Number.NaN }
    guide = guidedHand(guide, { kind: 'settled', ...heard }, perDegree)
    if (guide.pairs.length === pairs) break
    if (Math.abs(cents + guide.askedCents) < clearCents) throw new Error('too near to call')
    const up = guide.step === 'turn'
    const moved = up
      ? guide.askedCents * (gain + (deviations[turns.length % deviations.length] ?? 0))
      : -guide.askedCents
    const turnS = up ? beginS + moved / perDegree / degPerS : 0.6
    const fromS = atS + settleS + reactionS
    for (let at = 0; at <= turnS; at += 0.005) {
      live.obey({ kind: 'f1', f1Hz: hzAt(cents + (moved * at) / turnS), atSample: sampleAt(fromS + at) })
    }
    live.obey({ kind: 'f1', f1Hz: hzAt(cents + moved), atSample: sampleAt(fromS + turnS) })
    live.obey({ kind: 'damp', atSample: sampleAt(atS + betweenS - 0.2) })
    if (up) turns.push({ askedCents: guide.askedCents, movedCents: moved, reactionS, turnS })
    cents += moved
    atS += betweenS
  }
  const samples = new Float32Array(sampleAt(atS + 1.5))
  live.fill(samples)
  return { samples, noteHz: study.targetHz, centsPerDegree: perDegree, turns, gain }
}
