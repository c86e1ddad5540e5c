/**
 * The methods there are, in the order they are shown. Adding one: its file, and a line here.
 */
import { Problem } from '../problem.ts'
import { acf } from './acf.ts'
import { cepstrum } from './cepstrum.ts'
import { growingFit } from './growing-fit.ts'
import { harmonicSum } from './harmonic-sum.ts'
import { hps } from './hps.ts'
import { jointFit } from './joint-fit.ts'
import type { Method } from './method.ts'
import { mpm } from './mpm.ts'
import { multiComb } from './multi-comb.ts'
import { partialFit } from './partial-fit.ts'
import { phaseVocoder } from './phase-vocoder.ts'
import {
  pitchfinderAcf2plus,
  pitchfinderAmdf,
  pitchfinderMacleod,
  pitchfinderWavelet,
  pitchfinderYin,
} from './pitchfinder.ts'
import { pitchy } from './pitchy.ts'
import { shs } from './shs.ts'
import { spectralPeak } from './spectral-peak.ts'
import { swipePrime } from './swipe-prime.ts'
import { whitenedSum } from './whitened-sum.ts'
import { yin } from './yin.ts'
import { zeroCrossing } from './zero-crossing.ts'

export const methods: readonly Method[] = [
  yin,
  mpm,
  acf,
  spectralPeak,
  harmonicSum,
  partialFit,
  pitchy,
  pitchfinderYin,
  pitchfinderMacleod,
  pitchfinderAmdf,
  pitchfinderAcf2plus,
  pitchfinderWavelet,
  jointFit,
  whitenedSum,
  shs,
  hps,
  zeroCrossing,
  phaseVocoder,
  multiComb,
  swipePrime,
  cepstrum,
  growingFit,
]

/** @throws Problem that lists the known ids. */
export function methodById(id: string, where = 'method'): Method {
  const found = methods.find((method) => method.id === id)
  if (found === undefined) {
    throw new Problem(`no method "${id}"; known are ${methods.map((method) => method.id).join(', ')}`, where)
  }
  return found
}
