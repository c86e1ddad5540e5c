import { describe, expect, it } from 'vitest'
import { Problem } from '../../src/core/problem.ts'
import { parseScene } from '../../src/core/scene/parse.ts'
import { recordingFromWav } from '../../src/core/scene/recording.ts'
import { mix, render, renderNoise, renderString, roomSpectrum } from '../../src/core/scene/render.ts'
import type { Recording, Recordings, Scene } from '../../src/core/scene/scene.ts'
import { writeWav } from '../../src/core/scene/wav.ts'

const none: Recordings = new Map()

const sceneOf = (given: object): Scene =>
  parseScene({
    sampleRateHz: 48000,
    durationS: 2.5,
    seed: 1,
    plucks: [{ onsetS: 0.2, firstPartialHz: 110, stiffness: 4e-5, decayS: 3, pickRatio: 0.2, glideCents: 0 }],
    noises: [{ id: 'pink', snrDb: 10 }],
    ...given,
  })

function meanSquare(samples: Float32Array, from: number, to: number): number {
  let sum = 0
  for (let i = from; i < to; i++) sum += (samples[i] as number) ** 2
  return sum / (to - from)
}

/** 10 lg of the mean squares between two sample numbers. */
const ratioDb = (over: Float32Array, under: Float32Array, from: number, to: number): number =>
  10 * Math.log10(meanSquare(over, from, to) / meanSquare(under, from, to))

/** The same bits. (`toEqual` compares 120 000 samples one object at a time.) */
const same = (a: Float32Array, b: Float32Array): boolean => Buffer.from(a.buffer).equals(Buffer.from(b.buffer))

function sentenceOf(action: () => unknown): string {
  try {
    action()
  } catch (error) {
    if (error instanceof Problem) return error.sentence
    throw error
  }
  return 'nothing was refused'
}

/** A decaying 200 Hz tone that starts a quarter of a second in. */
function toneRecording(sampleRateHz: number, f1Hz = 200): Recording {
  const samples = Float32Array.from({ length: sampleRateHz }, (_, n) => {
    const t = n / sampleRateHz - 0.25
    return t < 0 ? 0 : 0.02 * Math.exp(-2 * t) * Math.sin(2 * Math.PI * 200 * t)
  })
  return { id: 'tone', sampleRateHz, samples, onsetS: 0.25, f1Hz }
}
const withTone = (recording: Recording): Recordings => new Map([['tone', recording]])

describe('a rendered scene', () => {
  const scene = sceneOf({})
  const { take, clean, noise, partials } = render(scene, none)

  it('has the samples it was asked for', () => {
    expect(take.sampleRateHz).toBe(48000)
    for (const samples of [take.samples, clean, noise]) expect(samples).toHaveLength(120_000)
  })
  it('is the sum of its two sides, sample by sample', () => {
    expect(take.samples.every((value, i) => value === Math.fround(clean[i] + noise[i]))).toBe(true)
  })
  it('has its ratio over the first second after the onset', () => {
    expect(Math.abs(ratioDb(clean, noise, 9600, 57600) - 10)).toBeLessThan(1e-5)
  })
  it('has a string at -20 dB of full scale', () => {
    // Cross terms between partials, left out by pluck.ts, are under a percent.
    expect(Math.abs(Math.sqrt(meanSquare(clean, 9600, 57600)) / 0.1 - 1)).toBeLessThan(0.01)
  })
  it('tells its truth and its partials', () => {
    expect(take.truth?.settledHz).toBe(110)
    expect(take.truth?.onsetS).toBe(0.2)
    expect(take.truth?.track.at(-1)?.f0Hz).toBe(110)
    expect(partials[0].frequencyHz).toBe(110)
  })
  it('is the same a second time, and another one under another seed', () => {
    expect(same(render(scene, none).noise, noise)).toBe(true)
    const other = render({ ...scene, seed: 2 }, none)
    expect(same(other.clean, clean)).toBe(true)
    expect(same(other.noise, noise)).toBe(false)
  })
  it('can be put together from its steps', () => {
    const string = renderString(scene, none)
    const mixed = mix(scene, string, renderNoise(scene, string, none))
    expect(same(mixed.take.samples, take.samples)).toBe(true)
    expect(same(mixed.clean, clean) && same(mixed.noise, noise)).toBe(true)
    expect(mixed.take.truth).toEqual(take.truth)
    expect(mixed.partials).toEqual(partials)
  })
  it('has the same noise at another ratio, only louder', () => {
    const louder = renderNoise(sceneOf({ noises: [{ id: 'pink', snrDb: -10 }] }), renderString(scene, none), none)
    // 20 dB are a factor of 10; float32 keeps 24 bits of each.
    expect(louder.every((value, i) => Math.abs(value - 10 * noise[i]) <= Math.abs(value) * 2 ** -22)).toBe(true)
  })
})

describe('the sides of a scene', () => {
  it('are the string alone without noises', () => {
    const { take, clean, noise } = render(sceneOf({ noises: [] }), none)
    expect(noise.every((value) => value === 0)).toBe(true)
    expect(same(take.samples, clean)).toBe(true)
  })
  it('keep the noise level of the string that was taken away', () => {
    const quiet = render(sceneOf({ noString: true }), none)
    expect(quiet.clean.every((value) => value === 0)).toBe(true)
    expect(same(quiet.noise, render(sceneOf({}), none).noise)).toBe(true)
    expect(quiet.take.truth?.settledHz).toBe(110)
  })
  it('count the ratio from the first of several plucks, and the truth of the last', () => {
    const plucks = [
      { onsetS: 1, firstPartialHz: 110, decayS: 1 },
      { onsetS: 0.3, firstPartialHz: 147, decayS: 1 },
    ]
    const { take, clean, noise } = render(sceneOf({ plucks }), none)
    expect(Math.abs(ratioDb(clean, noise, 14400, 62400) - 10)).toBeLessThan(1e-5)
    expect(take.truth).toMatchObject({ onsetS: 0.3, settledHz: 147 })
  })
  it('use what the take has of the first second', () => {
    const { clean, noise } = render(sceneOf({ durationS: 0.5 }), none)
    expect(Math.abs(ratioDb(clean, noise, 9600, 24000) - 10)).toBeLessThan(1e-5)
  })
  it('hold each noise at its own ratio', () => {
    const noises = [
      { id: 'white', snrDb: 20 },
      { id: 'hum', snrDb: 6 },
    ]
    const both = render(sceneOf({ noises }), none)
    const first = render(sceneOf({ noises: noises.slice(0, 1) }), none)
    const rest = both.noise.map((value, i) => value - first.noise[i])
    expect(Math.abs(ratioDb(both.clean, first.noise, 9600, 57600) - 20)).toBeLessThan(1e-5)
    expect(Math.abs(ratioDb(both.clean, rest, 9600, 57600) - 6)).toBeLessThan(1e-4)
  })
  it('hold a room at one ratio, its parts at their weights', () => {
    const parts = [
      { id: 'white', levelDb: 0 },
      { id: 'hum', levelDb: -10, harmonics: 1 },
    ]
    const { clean, noise } = render(sceneOf({ noises: [], room: { parts, snrDb: 3 } }), none)
    expect(Math.abs(ratioDb(clean, noise, 9600, 57600) - 3)).toBeLessThan(1e-5)
    // The hum's share by projection on 50 Hz over the whole take, 125 periods: 1 / 11 of the power. White noise adds to the
    // projection with a relative sd of about 2 sqrt(2 * 10 / 120000) = 0.026: four of them.
    let re = 0
    let im = 0
    for (const [n, value] of noise.entries()) {
      re += value * Math.cos((2 * Math.PI * 50 * n) / 48000)
      im += value * Math.sin((2 * Math.PI * 50 * n) / 48000)
    }
    const share = (2 * (re * re + im * im)) / noise.length ** 2 / meanSquare(noise, 0, noise.length)
    expect(Math.abs(share * 11 - 1)).toBeLessThan(0.11)
  })
  it('are refused when the rate cannot carry the string', () => {
    const plucks = [{ firstPartialHz: 110 }, { firstPartialHz: 4000 }]
    expect(sentenceOf(() => render(sceneOf({ sampleRateHz: 8000, plucks }), none))).toBe(
      'plucks.1.firstPartialHz: 4000 is above 3600 Hz, the most that 8000 Hz can carry',
    )
  })
})

describe('recorded strings', () => {
  const plucks = [{ onsetS: 0.5, recording: 'tone' }]
  const scene = sceneOf({ plucks })

  it('are laid with their onset on the onset and set to the level of a synthetic one', () => {
    const { clean, take, partials } = render(scene, withTone(toneRecording(48000)))
    expect(clean.subarray(0, 24001).every((value) => value === 0)).toBe(true)
    expect(clean[24001]).not.toBe(0)
    expect(partials).toEqual([])
    expect(take.truth).toMatchObject({ onsetS: 0.5, settledHz: 200 })
    // 0.75 s of sound are left of the recording: their mean square is 0.01, but for the fade over the last 20 ms, where the
    // power has fallen to e^-3: 0.02 * e^-3 / (0.75 * (1 - e^-3) / 3) = 0.42 % at most.
    expect(Math.abs(meanSquare(clean, 24000, 60000) / 0.01 - 1)).toBeLessThan(0.0042)
    expect(clean.subarray(60000).every((value) => value === 0)).toBe(true)
  })
  it('are brought to the rate of the scene', () => {
    const { clean } = render(scene, withTone(toneRecording(44100)))
    const straight = render(scene, withTone(toneRecording(48000))).clean
    // Both onsets fall on samples; the bend at the onset apart, resampling is flat within 0.001 dB (resample.ts) = 1.2e-4 of the peak.
    let most = 0
    for (let i = 26400; i < 57600; i++) most = Math.max(most, Math.abs(clean[i] - straight[i]))
    expect(most).toBeLessThan(2e-4 * 0.25)
  })
  it('have no truth where nobody measured one', () => {
    expect(render(scene, withTone(toneRecording(48000, Number.NaN))).take.truth).toBeNull()
  })
  it('are refused when missing or silent', () => {
    expect(sentenceOf(() => render(scene, none))).toBe('plucks.0.recording: no recording "tone"; there are none')
    const other = new Map([['door', toneRecording(48000)]])
    expect(sentenceOf(() => render(scene, other))).toBe('plucks.0.recording: no recording "tone"; at hand are door')
    const silent = { ...toneRecording(48000), samples: new Float32Array(48000) }
    expect(sentenceOf(() => render(scene, withTone(silent)))).toBe(
      'plucks.0.recording: the recording "tone" is silent after its onset',
    )
  })
  it('come from WAV files, channels averaged', () => {
    const bytes = writeWav(Float32Array.of(0.25, -0.5), 44100)
    const plain = recordingFromWav('a', bytes, { onsetS: 0.1, f1Hz: 82 })
    expect(plain).toEqual({ id: 'a', sampleRateHz: 44100, samples: Float32Array.of(0.25, -0.5), onsetS: 0.1, f1Hz: 82 })
    // The same bytes as two channels of one frame.
    const stereo = bytes.slice()
    const view = new DataView(stereo.buffer)
    view.setUint16(22, 2, true)
    view.setUint32(28, 44100 * 8, true)
    view.setUint16(32, 8, true)
    expect(recordingFromWav('b', stereo)).toEqual({
      ...{ id: 'b', sampleRateHz: 44100, samples: Float32Array.of(-0.125) },
      ...{ onsetS: Number.NaN, f1Hz: Number.NaN },
    })
    expect(sentenceOf(() => recordingFromWav('c', writeWav(Float32Array.of(1), 7999)))).toBe(
      'sampleRateHz: 7999 is below 8000 Hz',
    )
    expect(sentenceOf(() => recordingFromWav('c', writeWav(Float32Array.of(1), 192001)))).toBe(
      'sampleRateHz: 192001 is above 192000 Hz',
    )
  })
})

describe('recorded noise', () => {
  const scene = sceneOf({ noises: [{ id: 'recorded', recording: 'tone', snrDb: 0 }] })
  it('is looped for as long as the take lasts', () => {
    const { noise } = render(scene, withTone(toneRecording(48000)))
    const period = 48000 - 2400
    expect(same(noise.slice(period), noise.slice(0, -period))).toBe(true)
  })
  it('is refused when missing or silent', () => {
    expect(sentenceOf(() => render(scene, none))).toBe('noises.0.recording: no recording "tone"; there are none')
    const silent = { ...toneRecording(48000), samples: new Float32Array(48000) }
    expect(sentenceOf(() => render(scene, withTone(silent)))).toBe('noises.0: is silent: no level can be set')
  })
})

describe('roomSpectrum', () => {
  it('has mean square 1 and the shape of the room', () => {
    const spectrum = roomSpectrum([{ id: 'hum', values: { harmonics: 2, slopeDb: -6 }, levelDb: 0 }], 48000, 1, none)
    const power = (fromHz: number, toHz: number): number =>
      spectrum.density.reduce((sum, density, bin) => {
        const hz = bin * spectrum.binHz
        return hz >= fromHz && hz < toHz ? sum + density * spectrum.binHz : sum
      }, 0)
    expect(power(0, 25000)).toBeCloseTo(1, 12)
    // -6 dB/oct: 4 : 1 but for -6 dB being 10^-0.6; Hann lobes 4 bins of 5.9 Hz wide keep inside 25 Hz but for side lobes.
    expect(power(75, 125) / power(25, 75)).toBeCloseTo(10 ** -0.6, 3)
  })
  it('is learnt from other samples than the take has', () => {
    const white = [{ id: 'white', values: {}, levelDb: 0 }]
    const one = roomSpectrum(white, 8000, 1, none)
    expect(roomSpectrum(white, 8000, 1, none)).toEqual(one)
    expect(roomSpectrum(white, 8000, 2, none)).not.toEqual(one)
  })
})
