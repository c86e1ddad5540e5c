/**
 * A room's noise from a WAV file, swept on the command line: named in the header by file and hash, refused where it is no use,
 * played without a click where the take begins again.
 */
import { createHash } from 'node:crypto'
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it, vi } from 'vitest'
import { readRoomFile } from '../../src/cli/roomfile.ts'
import { randomStream } from '../../src/core/maths/random.ts'
import { recorded } from '../../src/core/scene/noises/recorded.ts'
import { writeWav } from '../../src/core/scene/wav.ts'
import { presetStudy } from '../../src/core/study/presets.ts'
import { headerOf, recordLine } from '../../src/core/study/record.ts'
import { openStudy } from '../../src/core/study/trial.ts'
import { runCli } from './clirun.ts'

// Trials are made in this thread: how workers share them is tested with the pool.
vi.mock('../../src/host/pool.ts', () => ({
  async runStudy({ study, recordings, trials, onTrial }: import('../../src/host/pool.ts').StudyOrder) {
    const opened = openStudy(study, recordings)
    for (const index of trials) onTrial(index, opened.run(index))
    return { done: trials.length, cancelled: false, problems: [] }
  },
}))

const rateHz = 16000
const folder = mkdtempSync(join(tmpdir(), 'bench-room-file-'))
const at = (name: string): string => join(folder, name)

/** Noise with a memory of a few samples: what follows is near what was, so that a click would stand out. */
function smoothNoise(seconds: number, seed: number): Float32Array {
  const random = randomStream(seed, 'room file')
  let [first, second] = [0, 0]
  return Float32Array.from({ length: Math.round(seconds * rateHz) }, () => {
    first += 0.05 * (random.gaussian() - first)
    second += 0.05 * (first - second)
    return second
  })
}

const study = {
  id: 'small',
  sampleRateHz: rateHz,
  strings: ['A2'],
  rooms: ['white'],
  snrsDb: [10],
  repeats: 3,
  takeS: 1.2,
  methods: ['yin', { id: 'partial-fit', values: { window: 2048 } }],
}

beforeAll(() => {
  writeFileSync(at('study.json'), JSON.stringify(study))
  writeFileSync(at('tent.wav'), writeWav(smoothNoise(4, 1), rateHz))
  mkdirSync(at('later'))
  writeFileSync(at('later/tent.wav'), writeWav(smoothNoise(4, 2), rateHz))
})
afterAll(() => rmSync(folder, { recursive: true }))

const headerIn = (path: string) => JSON.parse(readFileSync(path, 'utf8').split('\n')[0] ?? '')

describe('a room from a file', () => {
  it('takes the place of the rooms of the study, named by file and hash', async () => {
    const { code, err } = await runCli(
      'sweep',
      at('study.json'),
      '--out',
      at('run.jsonl'),
      '--room-file',
      at('tent.wav'),
    )
    expect(code).toBe(0)
    // The hash by another way: over the bytes that follow the 58 of the header in a WAV file of floats.
    const bytes = readFileSync(at('tent.wav')).subarray(58)
    const hash = createHash('sha256').update(bytes).digest('hex').slice(0, 16)
    const part = { id: 'recorded', levelDb: 0, values: {}, recording: `tent sha256-${hash}` }
    expect(headerIn(at('run.jsonl')).study.rooms).toEqual([{ id: 'tent', parts: [part], variant: 'string' }])
    expect(headerIn(at('run.jsonl')).cells).toEqual([{ string: 'A2', room: 'tent', snrDb: 10 }])
    // 4 s hold three stretches of 1.2 s.
    expect(err).toContain('tent: 3 trials of 1.2 s play stretches of one take of 4.0 s, of which 3 do not overlap')
    expect(readFileSync(at('run.jsonl'), 'utf8')).not.toContain(folder)
  })

  it('gives the same bytes again, and others from another take', async () => {
    await runCli('sweep', at('study.json'), '--out', at('again.jsonl'), '--room-file', at('tent.wav'))
    expect(readFileSync(at('again.jsonl'), 'utf8')).toBe(readFileSync(at('run.jsonl'), 'utf8'))
    await runCli('sweep', at('study.json'), '--out', at('other.jsonl'), '--room-file', at('later/tent.wav'))
    const lines = (path: string): string[] => readFileSync(path, 'utf8').trim().split('\n').slice(1)
    expect(lines(at('other.jsonl'))).toHaveLength(6)
    expect(lines(at('other.jsonl'))).not.toEqual(lines(at('run.jsonl')))
  })

  it('stands beside the rooms of the study where it is told to', async () => {
    const words = ['--room-file', at('tent.wav'), '--keep-rooms', '--repeats', '1']
    await runCli('sweep', at('study.json'), '--out', at('both.jsonl'), ...words)
    expect(headerIn(at('both.jsonl')).study.rooms.map(({ id }: { id: string }) => id)).toEqual(['white', 'tent'])
    const lone = await runCli('sweep', at('study.json'), '--out', at('lone.jsonl'), '--keep-rooms')
    expect(lone).toMatchObject({ code: 4, err: expect.stringContaining('--keep-rooms') })
    const twins = ['--room-file', at('tent.wav'), at('later/tent.wav')]
    const refused = await runCli('sweep', at('study.json'), '--out', at('twins.jsonl'), ...twins)
    expect(refused).toMatchObject({ code: 4, err: expect.stringContaining('a room "tent" stands there already') })
  })

  it('goes on with the same take only', async () => {
    const whole = readFileSync(at('run.jsonl'), 'utf8')
    const begun = whole.split('\n').slice(0, 3).join('\n')
    writeFileSync(at('begun.jsonl'), `${begun}\n`)
    const resume = (file: string) =>
      runCli('sweep', at('study.json'), '--out', at('begun.jsonl'), '--room-file', file, '--resume')
    expect(await resume(at('later/tent.wav'))).toMatchObject({ code: 4, err: expect.stringContaining('recorded room') })
    expect(readFileSync(at('begun.jsonl'), 'utf8')).toBe(`${begun}\n`)
    expect(await resume(at('tent.wav'))).toMatchObject({ code: 0 })
    expect(readFileSync(at('begun.jsonl'), 'utf8')).toBe(whole)
  })

  it('is summarised, and merged from shards to the same bytes', async () => {
    const summary = JSON.parse((await runCli('summary', at('run.jsonl'), '--json')).out)
    expect(summary.cells.map(({ room, method, n }: { [key: string]: unknown }) => [room, method, n])).toEqual([
      ['tent', 'yin', 3],
      ['tent', 'partial-fit', 3],
    ])
    for (const shard of ['1/2', '2/2']) {
      const words = ['--out', at(`shard-${shard[0]}.jsonl`), '--room-file', at('tent.wav'), '--shard', shard]
      await runCli('sweep', at('study.json'), ...words)
    }
    await runCli('merge', at('shard-1.jsonl'), at('shard-2.jsonl'), '--out', at('merged.jsonl'))
    expect(readFileSync(at('merged.jsonl'), 'utf8')).toBe(readFileSync(at('run.jsonl'), 'utf8'))
  })

  it('is planned in, under its own name', async () => {
    // What a method did is of no matter here: outcomes of the right shape, near the note and quick.
    const plan = presetStudy('plan')
    const { room } = readRoomFile(at('tent.wav'))
    const methods = plan.methods.slice(0, 2)
    const whole = { ...plan, rooms: [room], snrsDb: [10], repeats: 4, methods }
    const score = { claim: 'true', claimCents: 0.5, lockS: 0.6, firstSteadyS: 0.35, offsetCents: 0.2, medianCents: 0.3 }
    let index = 0
    const lines = whole.strings.flatMap((string) =>
      Array.from({ length: 4 }, (_, repeat) => {
        const trial = { index: index++, string: string.id, room: room.id, snrDb: 10, repeat }
        return methods.map((method) => ({ state: 'scored', trial, method, score, levels: null }))
      }).flat(),
    )
    const text = [headerOf(whole, '0', 'node'), ...lines].map((line) => recordLine(line as never)).join('')
    writeFileSync(at('plan.jsonl'), text)
    const told = await runCli('plan', at('plan.jsonl'), '--budget', '60', '--within', '3')
    expect(told.err).toBe('')
    expect(told.out).toContain(', tent at 10 dB')
  })
})

describe('a file that is no room', () => {
  const tone = (seconds: number, amplitude: number): Float32Array =>
    Float32Array.from({ length: seconds * rateHz }, (_, i) => amplitude * Math.sin((2 * Math.PI * 50 * i) / rateHz))
  const cases: [string, Uint8Array, string][] = [
    ['short', writeWav(smoothNoise(2.4, 3), rateHz), 'short.wav.durationS: 2.40 s is below 2.5 s'],
    [
      'silent',
      writeWav(new Float32Array(3 * rateHz), rateHz),
      'silent.wav.levelDbfs: digital silence is below -90 dBFS',
    ],
    // An offset is no sound: about its mean this is silence too.
    ['offset', writeWav(new Float32Array(3 * rateHz).fill(0.25), rateHz), 'offset.wav.levelDbfs: digital silence'],
    // 20 lg(1e-5 / sqrt 2)
    ['faint', writeWav(tone(3, 1e-5), rateHz), 'faint.wav.levelDbfs: -103.0 dBFS is below -90 dBFS'],
    [
      'clipped',
      writeWav(
        tone(3, 2).map((value) => Math.max(-1, Math.min(1, value))),
        rateHz,
      ),
      // 50 periods a second, both halves; 2 sin reaches 1 a twelfth of a period in: 26.67 samples of 320.
      'clipped.wav.samples: 300 stretches of 3 samples or more stay at full scale, the first at 0.002 s; the limit is 0',
    ],
    ['slow', writeWav(smoothNoise(3, 4), 4000), 'slow.wav.sampleRateHz: 4000 is below 8000 Hz'],
    ['text', new TextEncoder().encode('no sound at all'), 'text.wav: is no WAV file'],
  ]
  it.each(cases)('is refused when %s, and nothing is written', async (name, bytes, sentence) => {
    writeFileSync(at(`${name}.wav`), bytes)
    const words = ['--out', at(`${name}.jsonl`), '--room-file', at(`${name}.wav`)]
    const { code, err } = await runCli('sweep', at('study.json'), ...words)
    expect({ code, err }).toEqual({ code: 4, err: expect.stringContaining(sentence) })
    expect(() => readFileSync(at(`${name}.jsonl`))).toThrow()
  })

  it('that is missing is named', async () => {
    const { code, err } = await runCli('sweep', 'first', '--out', at('no.jsonl'), '--room-file', at('nowhere.wav'))
    expect({ code, err }).toEqual({ code: 4, err: expect.stringContaining('nowhere.wav: cannot be read') })
  })

  it('a tone that touches full scale without staying there is no clipped one', () => {
    const whole = Float32Array.from({ length: 3 * rateHz }, (_, i) => Math.sin((2 * Math.PI * 2000 * i) / rateHz))
    writeFileSync(at('touching.wav'), writeWav(whole, rateHz))
    expect(readRoomFile(at('touching.wav')).room.id).toBe('touching')
  })
})

describe('the take round and round', () => {
  it('begins again without a click, from a place of its own each time', () => {
    const samples = smoothNoise(2.5, 5)
    const recording = { id: 'tent', sampleRateHz: rateHz, samples, onsetS: Number.NaN, f1Hz: Number.NaN }
    const largestStep = (values: ArrayLike<number>): number => {
      let most = 0
      for (let i = 1; i < values.length; i++) most = Math.max(most, Math.abs(values[i] - values[i - 1]))
      return most
    }
    const starts = new Set<number>()
    for (let seed = 0; seed < 20; seed++) {
      // Three times round: at least two seams.
      const target = new Float64Array(3 * samples.length)
      const random = randomStream(seed, 'place')
      recorded.fill(target, {
        sampleRateHz: rateHz,
        random,
        values: { fromS: 0, withinS: 0 },
        pluck: null,
        onsetS: 0,
        recording,
      })
      starts.add(target[0])
      // Two steps at weights that square to 1 are at most sqrt 2 of the largest, and what the weights turn adds little.
      expect(largestStep(target)).toBeLessThan(1.5 * largestStep(samples))
    }
    expect(starts.size).toBe(20)
  })
})
