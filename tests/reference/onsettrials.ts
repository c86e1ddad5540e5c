/**
 * Takes with known onsets, and what the finder says of each: shared by the tests and the long count of tests/bench/onset.md.
 *
 * Found: the first onset told that lies within 20 ms before and 60 ms after the pluck. Premature: told of earlier. Extra: told
 * of after it, beside the found one.
 */
import { readFileSync } from 'node:fs'
import index from '../../signals/recordings/index.json'
import type { Spectrum } from '../../src/core/maths/spectrum.ts'
import { OnsetFinder } from '../../src/core/methods/onset.ts'
import type { Recording } from '../../src/core/scene/scene.ts'
import { readWav } from '../../src/core/scene/wav.ts'
import { studyDefaults } from '../../src/core/study/presets.ts'
import type { Study, StudyRoom, StudyString } from '../../src/core/study/study.ts'
import { type OpenStudy, openStudy } from '../../src/core/study/trial.ts'

export const earliestMs = -20
export const latestMs = 60

export interface Told {
  /** Against the pluck; NaN: missed. */
  readonly errorMs: number
  /** When it was told, from the pluck on. */
  readonly latencyMs: number
  readonly confirmed: boolean
  readonly premature: number
  readonly prematureConfirmed: number
  readonly extra: number
  readonly extraConfirmed: number
}

/** @param onsetS NaN: there is no string, every onset is premature. */
export function toldOf(
  samples: Float32Array,
  sampleRateHz: number,
  onsetS: number,
  targetHz: number | null,
  room: Spectrum | null,
): Told {
  const finder = new OnsetFinder({ sampleRateHz, targetHz, room })
  const told = { errorMs: Number.NaN, latencyMs: Number.NaN, confirmed: false }
  const counts = { premature: 0, prematureConfirmed: 0, extra: 0, extraConfirmed: 0 }
  let kind: 'found' | 'premature' | 'extra' | null = null
  for (let i = 0; i < samples.length; i++) {
    if (finder.push(samples[i] as number)) {
      const errorMs = 1000 * (finder.onsetSample / sampleRateHz - onsetS)
      if (!(errorMs >= earliestMs)) kind = 'premature'
      else if (Number.isNaN(told.errorMs) && errorMs <= latestMs) kind = 'found'
      else kind = 'extra'
      if (kind === 'found') Object.assign(told, { errorMs, latencyMs: 1000 * ((i + 1) / sampleRateHz - onsetS) })
      else counts[kind]++
    }
    if (kind === null || finder.standing === 'open') continue
    if (finder.standing === 'confirmed') {
      if (kind === 'found') told.confirmed = true
      else counts[`${kind}Confirmed`]++
    }
    kind = null
  }
  return { ...told, ...counts }
}

const folder = new URL('../../signals/recordings/', import.meta.url)

export const recordedNotes: readonly Recording[] = index.recordings.flatMap((entry) => {
  if (entry.kind !== 'string') return []
  const { channels, sampleRateHz } = readWav(new Uint8Array(readFileSync(new URL(entry.file, folder))), entry.file)
  const samples = channels[0] as Float32Array
  return [
    { id: entry.id, sampleRateHz, samples, onsetS: referenceOnsetS(samples, sampleRateHz), f1Hz: entry.f1Hz ?? 0 },
  ]
})

/**
 * Where a recorded note begins, by its energy alone: the middle of the first millisecond whose power is within 20 dB of the
 * strongest millisecond of the first 100 ms of sound. Good to a few ms: a finger touches the string before it lets go.
 */
export function referenceOnsetS(samples: Float32Array, sampleRateHz: number): number {
  const block = Math.round(sampleRateHz / 1000)
  const first = samples.findIndex((sample) => Math.abs(sample) > 1e-3)
  const powers = Array.from({ length: 100 }, (_, i) =>
    samples.subarray(first + i * block, first + (i + 1) * block).reduce((sum, sample) => sum + sample * sample, 0),
  )
  const strongest = Math.max(...powers)
  return (first + (powers.findIndex((power) => power > strongest / 100) + 0.5) * block) / sampleRateHz
}

/** The lead before every pluck, s. */
export const leadS = studyDefaults.leadS

export function openTakes(
  strings: readonly StudyString[],
  rooms: readonly StudyRoom[],
  snrsDb: readonly number[],
  repeats: number,
  seed: number,
  takeS = 1.2,
): OpenStudy {
  const study: Study = { ...studyDefaults, id: 'onsets', seed, takeS, strings, rooms, snrsDb, repeats, methods: [] }
  return openStudy(study, new Map(recordedNotes.map((note) => [note.id, note])))
}

export const noteStrings: readonly StudyString[] = recordedNotes.map(({ id, f1Hz }) => ({
  id,
  targetHz: f1Hz,
  pluck: {},
  recording: id,
}))
