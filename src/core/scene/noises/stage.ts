/**
 * A small band on its stage: bass drum, snare, a bass line in eighths, and a bed of pink noise for everything else.
 *
 * Drums are two damped modes each (the first two modes of a circular membrane stand 1 : 1.59, Fletcher & Rossing, section 18.1;
 * their shell and air shift them) and a burst of noise; the bass is eight harmonics falling as 1 / k. Which eighth of a bar the
 * take begins in is drawn. Levels, pitches and decays are common practice, no source. Tonal and impulsive: no Gaussian noise.
 */
import { exp } from '../../maths/portable.ts'
import type { Random } from '../../maths/random.ts'
import { hzFromCents } from '../../maths/units.ts'
import { addVoices, type Voice } from '../oscillators.ts'
import { noise } from './noise.ts'
import { fillPink } from './pink.ts'

interface Drum {
  readonly modes: readonly { readonly frequencyHz: number; readonly amplitude: number; readonly t60S: number }[]
  readonly burst: { readonly amplitude: number; readonly t60S: number }
}

const bassDrum: Drum = {
  modes: [
    { frequencyHz: 55, amplitude: 1, t60S: 0.5 },
    { frequencyHz: 88, amplitude: 0.5, t60S: 0.25 },
  ],
  burst: { amplitude: 0.15, t60S: 0.03 },
}
const snare: Drum = {
  modes: [
    { frequencyHz: 190, amplitude: 0.4, t60S: 0.2 },
    { frequencyHz: 330, amplitude: 0.25, t60S: 0.12 },
  ],
  burst: { amplitude: 0.35, t60S: 0.25 },
}

/** Eighths of a bar, from 0. */
const bassDrumEighths = [0, 4]
const snareEighths = [2, 6]
const eighthsPerBar = 8

/** Semitones above the root that the bass line is drawn from; the root and the fifth come most often. */
export const bassSteps = [0, 0, 0, 3, 5, 7, 7, 10, 12]
const bassRests = 0.15
const bassHarmonics = 8
const bassAmplitude = 0.35
const bassT60S = 0.8
/** RMS of the bed; a lone bass drum stroke starts at 1. */
const bedRms = 0.12
/** Drum strokes differ by up to this share. */
const strokeSpread = 0.2

const decayPerS = (t60S: number): number => (3 * Math.LN10) / t60S
const highestShare = 0.45

export const stage = noise({
  id: 'stage',
  title: 'A band on its stage: drums, bass line and a pink bed',
  source: 'Own pattern; levels are common practice, no source',
  fields: {
    tempoPerMin: { default: 120, min: 40, max: 240, unit: 'count', help: 'Quarter notes a minute.' },
    bassRootHz: { default: 41.203, min: 25, max: 120, unit: 'Hz', help: 'Root of the bass line.' },
  },
  fill(target, { sampleRateHz, random, values }) {
    fillPink(target, sampleRateHz, random.fork('bed'))
    let power = 0
    for (let i = 0; i < target.length; i++) power += target[i] * target[i]
    const gain = bedRms / Math.sqrt(power / target.length)
    for (let i = 0; i < target.length; i++) target[i] *= gain

    const eighthSamples = (30 / values.tempoPerMin) * sampleRateHz
    const start = random.fork('start').uniform() * eighthsPerBar
    const startEighth = Math.floor(start)
    const strokes = random.fork('strokes')
    const notes = random.fork('notes')
    // A bar before the take has begun already: its last sounds reach into it.
    for (let eighth = -eighthsPerBar; ; eighth++) {
      const onset = (eighth + startEighth - start) * eighthSamples
      if (onset >= target.length) break
      const inBar = (eighth + startEighth + eighthsPerBar) % eighthsPerBar
      const size = 1 + strokeSpread * (2 * strokes.uniform() - 1)
      if (bassDrumEighths.includes(inBar)) addStroke(target, bassDrum, size, onset, sampleRateHz, strokes.fork(eighth))
      if (snareEighths.includes(inBar)) addStroke(target, snare, size, onset, sampleRateHz, strokes.fork(eighth))
      const rests = notes.uniform() < bassRests
      const step = bassSteps[notes.whole(bassSteps.length)]
      if (!rests) addBassNote(target, hzFromCents(100 * step, values.bassRootHz), onset, sampleRateHz)
    }
  },
})

function addStroke(
  target: Float64Array,
  drum: Drum,
  size: number,
  onset: number,
  sampleRateHz: number,
  random: Random,
): void {
  const voices = drum.modes.map(
    ({ frequencyHz, amplitude, t60S }): Voice => ({
      frequencyHz,
      amplitude: size * amplitude,
      decayPerS: decayPerS(t60S),
      phaseRad: 0,
    }),
  )
  addVoices(target, voices, sampleRateHz, onset)
  const fall = exp(-decayPerS(drum.burst.t60S) / sampleRateHz)
  const first = Math.ceil(onset)
  // Twice T60 is -120 dB: nothing is left.
  const last = Math.min(target.length, first + Math.ceil(2 * drum.burst.t60S * sampleRateHz))
  let level = size * drum.burst.amplitude
  for (let i = first; i < last; i++) {
    const value = level * random.gaussian()
    if (i >= 0) target[i] += value
    level *= fall
  }
}

export function addBassNote(
  target: Float64Array,
  f0Hz: number,
  onset: number,
  sampleRateHz: number,
  t60S = bassT60S,
): void {
  const voices: Voice[] = []
  for (let k = 1; k <= bassHarmonics && k * f0Hz < highestShare * sampleRateHz; k++) {
    voices.push({ frequencyHz: k * f0Hz, amplitude: bassAmplitude / k, decayPerS: decayPerS(t60S), phaseRad: 0 })
  }
  addVoices(target, voices, sampleRateHz, onset)
}
