/**
 * The bound of a scene as it stands in a file: its last pluck against the power density of all its noises together.
 *
 * Tonal, impulsive and recorded noise is not Gaussian; the bound then speaks of Gaussian noise of the same spectrum.
 */

import { type Spectrum, scaledSpectrum } from '../maths/spectrum.ts'
import { Problem } from '../problem.ts'
import { heardSpectrum, meanSquareOfFirstSecond, ownSpectrum, renderString, roomSpectrum } from '../scene/render.ts'
import type { Recordings, Scene } from '../scene/scene.ts'
import { stringSeedOf } from '../scene/stringside.ts'
import { type Bound, openBound } from '../score/bound.ts'
import { boundSignalOf } from './boundsignal.ts'

/** @throws Problem when the scene has no noise, or its last pluck is a recording (its partials are not known). */
export function boundOfScene(scene: Scene, recordings: Recordings): Bound {
  const pluck = scene.plucks.at(-1)
  if (pluck === undefined || pluck.recording !== undefined) {
    throw new Problem('the bound needs a synthetic pluck: the partials of a recording are not known', 'plucks')
  }
  const string = renderString(scene, recordings)
  const stringPower = meanSquareOfFirstSecond(string.samples, scene)
  const noises = scene.noises.map((noise) => ({ parts: [{ ...noise, levelDb: 0 }], snrDb: noise.snrDb }))
  const sources = scene.room === null ? noises : [...noises, scene.room]
  const own = ownSpectrum(scene.sensor, scene.sampleRateHz, scene.seed)
  const alone = own === null ? [] : [scaledSpectrum(own.shape, stringPower * own.overString)]
  if (sources.length === 0 && own === null) throw new Problem('a scene without noise has no bound', 'noises')
  const targetHz = scene.targetHz ?? pluck.firstPartialHz
  // As in the take: the last of several sources takes the sensor's noise in.
  const spectra = sources.map(({ parts, snrDb }, index) =>
    heardSpectrum(
      roomSpectrum(parts, scene.sampleRateHz, scene.seed, recordings, targetHz, {
        stringSeed: stringSeedOf(scene),
        ...(scene.neighbours === undefined ? {} : { neighbours: scene.neighbours }),
        ...(scene.sensor === undefined ? {} : { sensor: scene.sensor }),
      }),
      index === sources.length - 1 ? own : null,
      stringPower,
      snrDb,
    ),
  )
  return openBound(boundSignalOf(pluck, string.partials), summed(sources.length === 0 ? alone : spectra))
}

function summed(spectra: readonly Spectrum[]): Spectrum {
  const [first, ...others] = spectra as [Spectrum, ...Spectrum[]]
  const density = Float64Array.from(first.density)
  for (const other of others) for (let bin = 0; bin < density.length; bin++) density[bin] += other.density[bin]
  return { binHz: first.binHz, density }
}
