/**
 * Computing time a frame: one thread, nothing else of ours running, all methods in turn, several rounds; the median round
 * counts. Methods run in one process as they do side by side in the page, so they share what the engine has learnt of
 * their common functions.
 *
 * A frame is one reading; making the listener is not counted, the lowering of the rate in aimed methods is. Ratios are of two
 * methods in the same round: a slow moment of the machine hits both.
 */

import { fill } from '../../../src/core/fields.ts'
import { median } from '../../../src/core/maths/statistics.ts'
import type { Stream } from '../../../src/core/methods/method.ts'
import { roomById, stringById, studyDefaults } from '../../../src/core/study/presets.ts'
import type { MethodChoice, Study } from '../../../src/core/study/study.ts'
import { openStudy } from '../../../src/core/study/trial.ts'
import { contestant, fast, slow } from './contestants.ts'

export interface Timing {
  readonly method: string
  readonly hop: number
  readonly microsecondsAFrame: number
  readonly leastMicroseconds: number
  readonly rounds: number
}

/** How many times as long the outside twin takes. */
export interface Ratio {
  readonly own: string
  readonly outside: string
  readonly value: number
  readonly low: number
  readonly high: number
}

export interface Timings {
  readonly methods: readonly Timing[]
  readonly ratios: readonly Ratio[]
}

const takes: Study = {
  ...studyDefaults,
  id: 'bench-timing',
  seed: 71_300_953,
  strings: ['E2', 'G3'].map((id) => stringById(id)),
  rooms: [roomById('pink')],
  snrsDb: [15],
  repeats: 1,
  methods: [{ id: 'yin', values: {} }],
}

const twins = [
  ['yin', 'pitchfinder-yin'],
  ['mpm', 'pitchfinder-macleod'],
] as const

/** One round that only warms up stands before the ones that count. */
export function measureTimings(rounds: number): Timings {
  const sounds = heardTakes()
  const choices = [...fast, ...slow]
  const perFrame = choices.map((): number[] => [])
  for (let round = -1; round < rounds; round++) {
    for (const [place, choice] of choices.entries()) {
      let [ms, frames] = [0, 0]
      for (const { samples, stream } of sounds) {
        const took = listenedMs(choice, samples, stream)
        ms += took.ms
        frames += took.frames
      }
      if (round >= 0) perFrame[place].push((1000 * ms) / frames)
    }
  }
  const roundsOf = (id: string): number[] => perFrame[choices.findIndex((choice) => choice.id === id)] ?? []
  return {
    methods: choices.map(({ id, values }, place) => ({
      method: id,
      hop: values.hop ?? contestant(id).fields.hop?.default ?? Number.NaN,
      microsecondsAFrame: median(perFrame[place]),
      leastMicroseconds: Math.min(...perFrame[place]),
      rounds,
    })),
    ratios: twins.flatMap(([own, outside]) => {
      const ratios = roundsOf(outside).map((value, round) => value / roundsOf(own)[round])
      if (ratios.length === 0 || ratios.some(Number.isNaN)) return []
      return [{ own, outside, value: median(ratios), low: Math.min(...ratios), high: Math.max(...ratios) }]
    }),
  }
}

function heardTakes(): { samples: Float32Array; stream: Stream }[] {
  const study = openStudy(takes, new Map())
  return takes.strings.map(({ targetHz }, index) => {
    const { rendered, room } = study.replay(index)
    const { sampleRateHz, lowestHz, highestHz } = takes
    return { samples: rendered.take.samples, stream: { sampleRateHz, lowestHz, highestHz, targetHz, room } }
  })
}

function listenedMs(choice: MethodChoice, samples: Float32Array, stream: Stream): { ms: number; frames: number } {
  const method = contestant(choice.id)
  const listener = method.open(
    { ...stream, targetHz: method.family === 'aimed' ? stream.targetHz : null },
    fill(method.fields, choice.values),
  )
  let frames = 0
  const startMs = performance.now()
  listener.push(samples, () => {
    frames++
  })
  return { ms: performance.now() - startMs, frames }
}

/** Of one second of sound, what part of a core's second. */
export const shareOfCore = ({ microsecondsAFrame, hop }: Timing, sampleRateHz = 48000): number =>
  (microsecondsAFrame * 1e-6 * sampleRateHz) / hop
