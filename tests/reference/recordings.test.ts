/**
 * Recorded strings: the shipped excerpts are what index.json says, and our methods read on them what outside programs read.
 *
 * Outside figures (signals/recordings/README.md): Praat's autocorrelation (Boersma 1993) and aubio's YIN for the period
 * followers, a stiff-string fit over many partials for partial-fit. They were read on the original files before our methods existed.
 */
import { createHash } from 'node:crypto'
import { readdirSync, readFileSync } from 'node:fs'
import { describe, expect, it } from 'vitest'
import index from '../../signals/recordings/index.json'
import { centsBetween } from '../../src/core/maths/units.ts'
import { methodById } from '../../src/core/methods/index.ts'
import { listen } from '../../src/core/methods/listen.ts'
import { readWav } from '../../src/core/scene/wav.ts'

const folder = new URL('../../signals/recordings/', import.meta.url)
const bytesOf = (file: string): Uint8Array => new Uint8Array(readFileSync(new URL(file, folder)))

interface StringEntry {
  readonly id: string
  readonly samples: Float32Array
  readonly sampleRateHz: number
  readonly windowS: readonly [number, number]
  readonly f1Hz: number
  readonly praatHz: number
  readonly aubioYinHz: number
}

const strings: readonly StringEntry[] = index.recordings.flatMap((entry) => {
  if (entry.windowS === null || entry.f1Hz === null || entry.outside === null) return []
  const { channels, sampleRateHz } = readWav(bytesOf(entry.file), entry.file)
  const [fromS, toS] = entry.windowS
  const { praatHz, aubioYinHz } = entry.outside
  const samples = channels[0] as Float32Array
  return [
    { id: entry.id, samples, sampleRateHz, windowS: [fromS, toS], f1Hz: entry.f1Hz, praatHz, aubioYinHz } as const,
  ]
})

const median = (values: readonly number[]): number => {
  const sorted = values.toSorted((a, b) => a - b)
  const middle = sorted.length / 2
  return sorted.length % 2 === 1
    ? (sorted[Math.floor(middle)] as number)
    : ((sorted[middle - 1] as number) + (sorted[middle] as number)) / 2
}

/** Frequencies of all readings whose evidence lies inside the window the outside figures were read over. */
function heardHz(methodId: string, note: StringEntry, targetHz: number | null): number[] {
  const { sampleRateHz } = note
  const stream = { sampleRateHz, lowestHz: 30, highestHz: 1400, targetHz, room: null }
  const [fromS, toS] = note.windowS
  return listen(methodById(methodId), note.samples, stream)
    .filter((reading) => reading.fromSample >= fromS * sampleRateHz && reading.toSample <= toS * sampleRateHz)
    .map((reading) => reading.f0Hz)
}

describe('the shipped excerpts', () => {
  it('are 21 strings and 4 noises, and nothing else lies beside them', () => {
    expect(index.recordings.filter((entry) => entry.kind === 'string')).toHaveLength(21)
    expect(index.recordings.filter((entry) => entry.kind === 'noise')).toHaveLength(4)
    const listed = [...index.recordings.map((entry) => entry.file), 'README.md', 'index.json']
    expect(readdirSync(folder).toSorted()).toEqual(listed.toSorted())
  })

  it('stay under 6 MB together, so that a checkout stays small', () => {
    const total = index.recordings.reduce((sum, entry) => sum + bytesOf(entry.file).length, 0)
    expect(total).toBeLessThan(6e6)
  })

  it.each(index.recordings)('$id: the hash is the one that was written down', (entry) => {
    expect(createHash('sha256').update(bytesOf(entry.file)).digest('hex')).toBe(entry.sha256)
  })

  it.each(index.recordings)('$id: package, version, licence and attribution are named', (entry) => {
    expect(entry.licence).toMatch(/^(CC-BY-3\.0|CC0-1\.0)$/)
    expect(entry.attribution).toContain(`${entry.package} ${entry.version}`)
    expect(entry.attribution).toContain(entry.licence)
  })

  it.each(index.recordings)(
    '$id: one channel at the listed rate, silent before the cut, sounding after it',
    (entry) => {
      const { channels, sampleRateHz } = readWav(bytesOf(entry.file), entry.file)
      expect(channels).toHaveLength(1)
      expect(sampleRateHz).toBe(entry.sampleRateHz)
      const samples = channels[0] as Float32Array
      const lead = entry.cut.leadS * sampleRateHz
      expect(samples.subarray(0, lead).every((sample) => sample === 0)).toBe(true)
      expect(samples.subarray(lead).some((sample) => Math.abs(sample) > 0.1)).toBe(true)
      expect(samples.length).toBeLessThanOrEqual(entry.cut.durationS * sampleRateHz)
      if (entry.windowS !== null) {
        // The figures were read past the attack and before the fade.
        expect(entry.windowS[0]).toBeCloseTo((entry.onsetS ?? Number.NaN) + 0.25, 9)
        expect(entry.windowS[1]).toBeLessThanOrEqual(samples.length / sampleRateHz - entry.cut.fadeS)
      }
    },
  )

  it('have a law of f1 and B that the outside programs do not contradict', () => {
    // A period follower weighs partials by power: it cannot read flat of partial 1 by more than single partials scatter
    // (about a cent rms on a recorded string), nor sharp by more than the 20 c of a low bass string.
    for (const note of strings) {
      const offsetCents = centsBetween(note.praatHz, note.f1Hz)
      expect(offsetCents, note.id).toBeGreaterThan(-2)
      expect(offsetCents, note.id).toBeLessThan(20)
      // The two followers were run apart; 0.6 c covers the worst note, a bass E1.
      expect(Math.abs(centsBetween(note.aubioYinHz, note.praatHz)), note.id).toBeLessThan(0.6)
    }
  })
})

describe.each(['yin', 'mpm', 'acf'])('%s on recorded strings', (methodId) => {
  it.each(strings)('$id: median within 1 c of the outside period followers, gross errors in under 2 %', (note) => {
    const heard = heardHz(methodId, note, null)
    expect(heard.length).toBeGreaterThan(50)
    // 50 c is the usual line between fine and gross errors in open evaluation code.
    const gross = heard.filter((hz) => !(Math.abs(centsBetween(hz, note.praatHz)) < 50))
    expect(gross.length / heard.length).toBeLessThan(0.02)
    // The pitch moves by up to 7 c inside the window while partials die at their own rates, and every program weighs and
    // windows its frames in its own way. The two outside programs differ by up to 0.54 c themselves: 1 c is twice that.
    const middleHz = median(heard.filter((hz) => !Number.isNaN(hz)))
    expect(Math.abs(centsBetween(middleHz, note.praatHz))).toBeLessThan(1)
    expect(Math.abs(centsBetween(middleHz, note.aubioYinHz))).toBeLessThan(1)
  })
})

describe.each([0, -30, 30])('partial-fit on recorded strings, told a target %d c off', (targetOffCents) => {
  const answers = new Map<string, { readonly cents: number; readonly declined: number }>()
  const answerOn = (note: StringEntry): { readonly cents: number; readonly declined: number } => {
    const known = answers.get(note.id)
    if (known !== undefined) return known
    const heard = heardHz('partial-fit', note, note.f1Hz * 2 ** (targetOffCents / 1200))
    const kept = heard.filter((hz) => !Number.isNaN(hz))
    const answer = { cents: centsBetween(median(kept), note.f1Hz), declined: 1 - kept.length / heard.length }
    answers.set(note.id, answer)
    return answer
  }

  it.each(strings)('$id: within 4 c of the stiff-string fit, hardly ever declined', (note) => {
    const { cents, declined } = answerOn(note)
    // Two fits of the same partials with other weights differ by up to 3.1 c on the worst note, where few partials agree
    // with any law (signals/recordings/README.md).
    expect(Math.abs(cents)).toBeLessThanOrEqual(4)
    // The notes stand 37 dB or more over their noise: declining one frame in ten would be a fault.
    expect(declined).toBeLessThan(0.1)
  })

  it('is within 1 c of it in the median over the notes', () => {
    // Those two fits differ by 0.4 c in the median.
    expect(median(strings.map((note) => Math.abs(answerOn(note).cents)))).toBeLessThanOrEqual(1)
  })
})
