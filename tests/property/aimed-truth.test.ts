/**
 * No aimed method knows more than the sound and the note in hand: it hears samples only, and where within its range the note
 * in hand lies must not matter to what it reads. Synthetic plucks in white noise at 20 dB; targets moved by up to 100 c.
 */
import { describe, expect, it } from 'vitest'
import { randomStream } from '../../src/core/maths/random.ts'
import { median, rms } from '../../src/core/maths/statistics.ts'
import { centsBetween } from '../../src/core/maths/units.ts'
import { methods } from '../../src/core/methods/index.ts'
import { listen } from '../../src/core/methods/listen.ts'
import type { Method } from '../../src/core/methods/method.ts'
import { parseScene } from '../../src/core/scene/parse.ts'
import { render } from '../../src/core/scene/render.ts'

const sampleRateHz = 48000
const strings = [82.407, 146.832, 329.628] as const
const movesCents = [-100, -60, 35, 100] as const
const onsetS = 0.1

/** Samples only; the truth that the renderer knows is thrown away with the rest. */
function heard(firstPartialHz: number, seed: number): Float32Array {
  const scene = parseScene({
    ...{ sampleRateHz, durationS: 0.8, seed },
    plucks: [{ onsetS, firstPartialHz, stiffness: 6e-5, decayS: 5, highDecayRatio: 0.5, pickRatio: 0.13 }],
    noises: [{ id: 'white', snrDb: 20 }],
  })
  return render(scene, new Map()).take.samples
}

/** Readings that end 0.4 s after the onset or later; NaN where the method declines. */
function read(method: Method, samples: Float32Array, targetHz: number): { hz: number[]; spreadCents: number } {
  const stream = { sampleRateHz, lowestHz: 30, highestHz: 1400, targetHz, room: null }
  const later = listen(method, samples, stream).filter(({ toSample }) => toSample > (onsetS + 0.4) * sampleRateHz)
  const told = later.map(({ spreadCents }) => spreadCents)
  return { hz: later.map(({ f0Hz }) => f0Hz), spreadCents: median(told) }
}

/** Of one method and string: how far its readings move with the target (rms over a take's, worst target), and its spread. */
function moved(method: Method, stringHz: number): { furthestCents: number; spreadCents: number } {
  const random = randomStream(19, 'aim', stringHz)
  // As in a study each pluck is a little off its note, so that where lines fall between a spectrum's bins is drawn as well.
  const plucks = Array.from({ length: 4 }, () => stringHz * 2 ** ((60 * random.uniform() - 30) / 1200))
  const takes = plucks.map((hz) => heard(hz, random.whole(1e9)))
  const straight = takes.map((take) => read(method, take, stringHz))
  const told = median(straight.map(({ spreadCents }) => spreadCents))
  // A method that states no spread has that of its readings about their common offset, over these plucks in their noises.
  const errors = straight.flatMap(({ hz }, i) => hz.map((one) => centsBetween(one, plucks[i] ?? Number.NaN)))
  const offset = median(errors)
  const repeated = rms(errors.map((cents) => cents - offset))
  const moves = takes.flatMap((take, i) =>
    movesCents.map((cents) => {
      const { hz } = read(method, take, stringHz * 2 ** (cents / 1200))
      // The window's end falls a few samples elsewhere when the target changes the lowering; the readings are the same ones.
      expect(hz.length).toBe(straight[i]?.hz.length)
      return rms(hz.map((one, at) => centsBetween(one, straight[i]?.hz[at] ?? Number.NaN)))
    }),
  )
  return { furthestCents: Math.max(...moves), spreadCents: told > 0 ? told : repeated }
}

describe.each(methods.filter(({ family }) => family === 'aimed').map((method) => [method.id, method] as const))(
  '%s',
  (_, method) => {
    it.each(strings)(
      'reads %d Hz the same wherever the target lies within 100 c: within its own spread',
      (stringHz) => {
        const { furthestCents, spreadCents } = moved(method, stringHz)
        expect(spreadCents).toBeGreaterThan(0)
        expect(furthestCents).toBeLessThan(spreadCents)
      },
    )
  },
)
