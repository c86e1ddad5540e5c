/**
 * Noise deviation of aimed methods over the bound, strings E2 to E4, ideal strings (no glide, one decay a partial): one line a
 * ratio and method. Bundle and run as near-bound.md says: `node near-bound.mjs SEED REPEATS frame|take METHOD,METHOD [DB ...]`.
 *
 * `frame`: one window of 4096 samples from the pluck on, each method opened anew. `take`: every reading, one in 512 samples, of
 * which the window lies in the first second. Deviations are from the same method's reading of the string alone.
 */
import { fill } from '../../src/core/fields.ts'
import { randomStream } from '../../src/core/maths/random.ts'
import { bootstrap, rms } from '../../src/core/maths/statistics.ts'
import { methodById } from '../../src/core/methods/index.ts'
import { listen } from '../../src/core/methods/listen.ts'
import {
  heardSpectrum,
  meanSquareOfFirstSecond,
  mix,
  renderNoise,
  renderString,
  roomSpectrum,
} from '../../src/core/scene/render.ts'
import { pluckFields, type Scene } from '../../src/core/scene/scene.ts'
import { openBound } from '../../src/core/score/bound.ts'
import { boundSignalOf } from '../../src/core/study/boundsignal.ts'
import { roomById, stringById } from '../../src/core/study/presets.ts'

const names = ['E2', 'A2', 'D3', 'G3', 'B3', 'E4']
const sampleRateHz = 48000
const onsetS = 0.5
const window = 4096
/** A frame begins past the very first samples, where a pluck starts from rest. */
const afterOnset = 96
const room = roomById('white')

const [seedText, repeatsText, mode, methodIds, ...ratios] = process.argv.slice(2)
const seed = Number(seedText)
const ids = (methodIds ?? '').split(',')

interface Tally {
  frames: number
  gross: number
  missing: number
  known: { string: string; ratio: number }[]
  unknown: number[]
}

for (const snrDb of ratios.map(Number)) {
  const tallies = new Map<string, Tally>(
    ids.map((id) => [id, { frames: 0, gross: 0, missing: 0, known: [], unknown: [] }]),
  )
  for (const name of names) {
    const { targetHz } = stringById(name)
    const shape = roomSpectrum(room.parts, sampleRateHz, seed, new Map(), targetHz, { stringSeed: seed })
    for (let repeat = 0; repeat < Number(repeatsText); repeat++) {
      const random = randomStream(seed, 'near-bound', name, repeat)
      const firstPartialHz = targetHz * 2 ** ((60 * random.uniform() - 30) / 1200)
      // E4 and B3 ring short, as the measured strings of signals/ do against the wound ones.
      const decayS = name === 'E4' ? 2 : name === 'B3' ? 3 : 4 + 2 * random.uniform()
      const pluck = fill(pluckFields, {
        ...{ onsetS, firstPartialHz, decayS },
        stiffness: 2e-4 * random.uniform(),
        pickRatio: 0.1 + 0.15 * random.uniform(),
      })
      const scene: Scene = {
        ...{ sampleRateHz, durationS: 1.6, seed: random.whole(4294967296), plucks: [pluck], noises: [] },
        ...{ room: { parts: room.parts, snrDb }, noString: false, targetHz },
      }
      const side = renderString(scene, new Map())
      const spectrum = heardSpectrum(shape, null, meanSquareOfFirstSecond(side.samples, scene), snrDb)
      const bound = openBound(boundSignalOf(pluck, side.partials), spectrum)
      const { samples } = mix(scene, side, renderNoise(scene, side, new Map())).take
      const from = mode === 'frame' ? onsetS * sampleRateHz + afterOnset : 0
      const to = mode === 'frame' ? from + window : (onsetS + 1) * sampleRateHz
      const values = { window, hop: mode === 'frame' ? window : 512 }
      for (const [id, tally] of tallies) {
        const stream = { sampleRateHz, lowestHz: 30, highestHz: 1400, targetHz, room: spectrum }
        const noisy = listen(methodById(id), samples.slice(from, to), stream, values)
        const quiet = listen(methodById(id), side.samples.slice(from, to), { ...stream, room: null }, values)
        const squares: number[] = []
        noisy.forEach((reading, at) => {
          const fromS = (from + reading.fromSample) / sampleRateHz - onsetS
          const toS = (from + reading.toSample) / sampleRateHz - onsetS
          if (fromS < 0) return
          tally.frames++
          if (!(reading.f0Hz > 0)) {
            tally.missing++
            return
          }
          if (!(Math.abs(1200 * Math.log2(reading.f0Hz / firstPartialHz)) < 50)) {
            tally.gross++
            return
          }
          const cents = 1200 * Math.log2(reading.f0Hz / (quiet[at]?.f0Hz ?? Number.NaN))
          squares.push(cents / bound.sdCents(fromS, toS, { band: true }))
          tally.unknown.push(cents / bound.sdCents(fromS, toS, { band: true, stiffness: 'unknown' }))
        })
        if (squares.length > 0) tally.known.push({ string: name, ratio: rms(squares) })
      }
    }
  }
  for (const [id, { frames, gross, missing, known, unknown }] of tallies) {
    const groups = names.map((name) => known.filter(({ string }) => string === name).map(({ ratio }) => ratio))
    const { value, low, high, n } = bootstrap(groups, rms, seed)
    const cells = groups.map(rms)
    process.stdout.write(
      `| ${snrDb} | ${id} | ${value.toFixed(2)} (${low.toFixed(2)} to ${high.toFixed(2)}), n ${n} | ${rms(unknown).toFixed(2)} | ${cells.map((cell) => cell.toFixed(2)).join(' ')} | ${gross} and ${missing} of ${frames} |\n`,
    )
  }
}
