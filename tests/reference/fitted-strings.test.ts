/**
 * The signal model against real strings: a synthetic string with the stiffness, levels, decays and partial-1 offset of a
 * recorded one makes methods read what they read on the recording.
 *
 * Median readings over the stated window are compared in absolute Hz: the law fitted to the recording is the string that is
 * rendered, so a truth of each would be the same number and cancel, while one from outside would add its own error of a cent
 * or two to one side only. The fit sees the recording and its onset; what methods read it never learns. 1.5 c is how well a
 * recorded string's pitch is known at all (signals/recordings/README.md).
 *
 * Of 21 notes agree: pitchy, yin and mpm 21, partial-fit 19. Its misses are the electric C3, 2.1 c, and F#4, 1.51 c: partials 2 to 8
 * of the C3 stand 4.5 c rms off the law, the most of all notes (median 1.2), those of the F#4 0.95 c, and partial-fit weighs
 * partials otherwise than by their power. With every single deviation put in, all 84 readings agree: what is missed is deviations, nothing else.
 */
import { readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import index from '../../signals/recordings/index.json'
import { median, rms } from '../../src/core/maths/statistics.ts'
import { centsBetween } from '../../src/core/maths/units.ts'
import { methodById } from '../../src/core/methods/index.ts'
import { listen } from '../../src/core/methods/listen.ts'
import { parseScene } from '../../src/core/scene/parse.ts'
import { render } from '../../src/core/scene/render.ts'
import { readWav } from '../../src/core/scene/wav.ts'
import { fitString } from '../../src/core/study/fitstring.ts'

const folder = new URL('../../signals/recordings/', import.meta.url)
const agreedCents = 1.5

const notes = index.recordings.flatMap(({ id, file, kind, onsetS, windowS, f1Hz }) => {
  if (kind !== 'string' || onsetS === null || windowS === null || f1Hz === null) return []
  const { channels, sampleRateHz } = readWav(new Uint8Array(readFileSync(new URL(file, folder))), file)
  const samples = channels[0] as Float32Array
  const fitted = fitString(samples, { sampleRateHz, onsetS, aboutHz: f1Hz })
  const [fromS, toS] = windowS as [number, number]
  const rendered = (more: object): Float32Array => {
    const pluck = { onsetS, ...fitted.pluck, ...more }
    return render(parseScene({ sampleRateHz, durationS: samples.length / sampleRateHz, plucks: [pluck] }), new Map())
      .take.samples
  }
  const low = fitted.partials.filter(({ k }) => k >= 2 && k <= 8)
  return [
    {
      ...{ id, samples, sampleRateHz, fromS, toS, f1Hz },
      offLawCents: rms(low.map(({ deviationCents }) => deviationCents)),
      bySettings: rendered({}),
      byEveryPartial: rendered({ partialOffsetsCents: fitted.partialOffsetsCents }),
    },
  ]
})
type Note = (typeof notes)[number]

/** Median of all readings whose evidence lies inside the window. */
function readHz(methodId: string, samples: Float32Array, { sampleRateHz, fromS, toS, f1Hz }: Note): number {
  const method = methodById(methodId)
  const targetHz = method.family === 'aimed' ? f1Hz : null
  const readings = listen(method, samples, { sampleRateHz, lowestHz: 30, highestHz: 1400, targetHz, room: null })
  return median(
    readings
      .filter(
        ({ f0Hz, fromSample, toSample }) =>
          f0Hz > 0 && fromSample >= fromS * sampleRateHz && toSample <= toS * sampleRateHz,
      )
      .map(({ f0Hz }) => f0Hz),
  )
}

interface Row {
  readonly id: string
  readonly settingsCents: number
  readonly everyPartialCents: number
}

const rowsOf = (methodId: string): Row[] =>
  notes.map((note) => {
    const recordedHz = readHz(methodId, note.samples, note)
    const off = (synthetic: Float32Array): number => centsBetween(readHz(methodId, synthetic, note), recordedHz)
    return { id: note.id, settingsCents: off(note.bySettings), everyPartialCents: off(note.byEveryPartial) }
  })

const agrees = (cents: number): boolean => Math.abs(cents) <= agreedCents

describe('strings fitted to the 21 recorded notes', () => {
  it('are 21', () => {
    expect(notes).toHaveLength(21)
  })

  describe.each([
    ['pitchy', 16],
    ['yin', 16],
    ['mpm', 16],
    ['partial-fit', 15],
  ])('%s', (methodId, fewest) => {
    const rows = rowsOf(methodId)
    const missed = rows.filter(({ settingsCents }) => !agrees(settingsCents))
    const listed = missed.map(({ id, settingsCents }) => `${id} ${settingsCents.toFixed(2)} c`).join(', ')

    it(`reads the same within 1.5 c on ${fewest} of them or more`, () => {
      expect(21 - missed.length, listed).toBeGreaterThanOrEqual(fewest)
    })

    it('misses only where partials do not obey the law, and hits there too once they are put where they are', () => {
      for (const { id, settingsCents, everyPartialCents } of missed) {
        const note = notes.find((one) => one.id === id) as Note
        // A weighted mean of deviations is no larger than their rms of the same weights (Jensen): two weightings differ by two rms at most.
        expect(2 * note.offLawCents, id).toBeGreaterThan(Math.abs(settingsCents))
        expect(agrees(everyPartialCents), `${id} ${everyPartialCents.toFixed(2)} c`).toBe(true)
      }
      expect(rows.filter(({ everyPartialCents }) => agrees(everyPartialCents)).length).toBeGreaterThanOrEqual(20)
    })
  })
})
