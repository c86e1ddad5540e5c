/**
 * The command line as a caller sees it: exit codes, sentences, and that bad input leaves nothing half written.
 */
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { writeWav } from '../../src/core/scene/wav.ts'
import { runCli } from './clirun.ts'

const folder = mkdtempSync(join(tmpdir(), 'bench-cli-'))
const at = (name: string): string => join(folder, name)
const scene = {
  sampleRateHz: 48000,
  durationS: 1.5,
  seed: 1,
  plucks: [{ onsetS: 0.2, firstPartialHz: 110, stiffness: 4e-5, decayS: 3, pickRatio: 0.2, glideCents: 3 }],
  noises: [{ id: 'pink', snrDb: 10 }],
}

const sine = (amplitude: number, offset = 0, rateHz = 48000, seconds = 0.6): Float32Array =>
  Float32Array.from(
    { length: Math.round(rateHz * seconds) },
    (_, i) => offset + amplitude * Math.sin((2 * Math.PI * 110 * i) / rateHz),
  )

const edited = (bytes: Uint8Array, edit: (view: DataView) => void): Uint8Array => {
  const copy = Uint8Array.from(bytes)
  edit(new DataView(copy.buffer))
  return copy
}

beforeAll(() => {
  writeFileSync(at('scene.json'), JSON.stringify(scene))
  writeFileSync(at('ok.wav'), writeWav(sine(0.5), 48000))
})
afterAll(() => rmSync(folder, { recursive: true }))

describe('render', () => {
  it('writes the take, its sides and its truth', async () => {
    expect(await runCli('render', at('scene.json'), '--out', at('out'))).toMatchObject({ code: 0, err: '' })
    expect(readdirSync(at('out')).sort()).toEqual(['clean.wav', 'noise.wav', 'partials.csv', 'take.wav', 'truth.csv'])
    const truth = readFileSync(at('out/truth.csv'), 'utf8').trim().split('\n')
    expect(truth[0]).toBe('time,frequency')
    expect(truth.at(-1)?.split(',')[1]).toBe('110')
    const partials = readFileSync(at('out/partials.csv'), 'utf8').trim().split('\n')
    expect(partials[0]).toBe('k,frequency,amplitude,decay_per_s')
    // ln(1000) / T60: -60 dB of amplitude is a factor of 1000.
    expect(Number(partials[1]?.split(',')[3])).toBeCloseTo(Math.log(1000) / 3, 9)
  })

  const bad: [string, unknown, string][] = [
    [
      'a ratio out of limits',
      { ...scene, noises: [{ id: 'pink', snrDb: 400 }] },
      'noises.0.snrDb: 400 is above 120 dB',
    ],
    ['a rate of 0', { ...scene, sampleRateHz: 0 }, 'sampleRateHz: 0 is below 8000 Hz'],
    ['a rate of 1e6', { ...scene, sampleRateHz: 1e6 }, 'sampleRateHz: 1000000 is above 192000 Hz'],
    ['an unknown noise', { ...scene, noises: [{ id: 'rain', snrDb: 0 }] }, 'noises.0.id'],
    ['an unknown key', { ...scene, colour: 1 }, 'colour'],
    ['no plucks', { ...scene, plucks: undefined }, 'plucks'],
    ['text for a number', { ...scene, durationS: '2' }, 'durationS'],
    ['a missing recording', { ...scene, plucks: [{ onsetS: 0, recording: 'nowhere.wav' }] }, 'nowhere.wav'],
    ['a list', [], 'scene-bad.json'],
  ]
  it.each(bad)('refuses %s', async (_, json, sentence) => {
    writeFileSync(at('scene-bad.json'), JSON.stringify(json))
    const { code, err, out } = await runCli('render', at('scene-bad.json'), '--out', at('never'))
    expect({ code, out }).toEqual({ code: 4, out: '' })
    expect(err).toContain('scene-bad.json')
    expect(err).toContain(sentence)
    expect(err).not.toMatch(/\n\s+at /)
    expect(existsSync(at('never'))).toBe(false)
  })

  it('refuses a file that is no JSON, and one that is not there', async () => {
    writeFileSync(at('torn.json'), '{"sampleRateHz": 48')
    expect(await runCli('render', at('torn.json'), '--out', at('never'))).toMatchObject({
      code: 4,
      err: expect.stringContaining('is no JSON'),
    })
    expect(await runCli('render', at('gone.json'), '--out', at('never'))).toMatchObject({
      code: 4,
      err: expect.stringContaining('no such file'),
    })
  })
})

describe('listen', () => {
  it('answers a reading every hop once the window is full', async () => {
    const { code, out } = await runCli('listen', at('ok.wav'), '--method', 'yin')
    const rows = out
      .trim()
      .split('\n')
      .slice(1)
      .map((line) => line.split(',').map(Number))
    expect(code).toBe(0)
    // 0.6 s = 28800 samples: 1 + floor((28800 - 4096) / 512) windows, the first heard after 4096 samples.
    expect(rows).toHaveLength(49)
    expect(rows[0]?.[0]).toBeCloseTo(4096 / 48000, 12)
    for (const [, hz] of rows) expect(Math.abs(1200 * Math.log2((hz ?? 0) / 110))).toBeLessThan(1)
  })

  it('answers a value every update behind a display', async () => {
    const display = ['--display', 'averagingMs=300,updateHz=5']
    const { code, out } = await runCli('listen', at('ok.wav'), '--method', 'yin', ...display)
    expect(code).toBe(0)
    // 0.6 s hold three updates: 0.2, 0.4, 0.6.
    expect(out.match(/^[\d.]+(?=,)/gm)).toEqual(['0.2', '0.4', '0.6'])
  })

  const odd: [string, Float32Array, string, RegExp][] = [
    ['silence', new Float32Array(20000), 'is silent', /^[\d.]+,0,/],
    ['a constant', new Float32Array(20000).fill(0.5), 'is constant: every sample is 0.5', /^[\d.]+,0,/],
    ['clipped sound', sine(4).map((sample) => Math.max(-1, Math.min(1, sample))), 'is clipped', /^[\d.]+,1(09|10)\./],
  ]
  it.each(odd)('tells its readings of %s, and that they are worth nothing', async (_, samples, sentence, row) => {
    writeFileSync(at('odd.wav'), writeWav(samples, 48000))
    for (const method of ['yin', 'mpm', 'spectral-peak']) {
      const { code, out, err } = await runCli('listen', at('odd.wav'), '--method', method)
      expect(code).toBe(4)
      expect(err).toContain(`odd.wav: channel 1: ${sentence}`)
      const rows = out.trim().split('\n').slice(1)
      expect(rows.length).toBeGreaterThan(30)
      for (const line of rows) expect(line).toMatch(row)
    }
  })

  it('answers no reading to less than a window, and refuses NaN and nothing at all', async () => {
    writeFileSync(at('odd.wav'), writeWav(sine(0.5, 0, 48000, 0.01), 48000))
    expect(await runCli('listen', at('odd.wav'), '--method', 'yin')).toEqual({
      code: 0,
      out: 'time,frequency,confidence\n',
      err: '',
    })
    for (const samples of [new Float32Array(20000).fill(Number.NaN), new Float32Array(0)]) {
      writeFileSync(at('odd.wav'), writeWav(samples, 48000))
      expect(await runCli('listen', at('odd.wav'), '--method', 'yin')).toMatchObject({
        code: 4,
        out: '',
        err: expect.stringContaining('odd.wav'),
      })
    }
  })

  const wav = writeWav(sine(0.5), 48000)
  const files: [string, Uint8Array][] = [
    ['an empty file', new Uint8Array()],
    ['half a header', wav.slice(0, 20)],
    ['text', new TextEncoder().encode('this is no sound at all, whatever its name says')],
    ['a truncated file', wav.slice(0, 5000)],
    ['a rate of 0', edited(wav, (view) => view.setUint32(24, 0, true))],
    ['a rate of 1 MHz', edited(wav, (view) => view.setUint32(24, 1_000_000, true))],
    ['no channels', edited(wav, (view) => view.setUint16(22, 0, true))],
    ['an unknown format', edited(wav, (view) => view.setUint16(20, 6, true))],
  ]
  it.each(files)('refuses %s by name', async (_, bytes) => {
    writeFileSync(at('bad.wav'), bytes)
    const { code, out, err } = await runCli('listen', at('bad.wav'), '--method', 'yin')
    expect({ code, out }).toEqual({ code: 4, out: '' })
    expect(err).toContain('bad.wav')
    expect(err.trim().split('\n')).toHaveLength(1)
  })

  const usage: [number, string[], string][] = [
    [2, [], 'method'],
    [2, ['--method', 'partial-fit'], '--target'],
    [2, ['--method', 'yin', '--loud'], '--loud'],
    [2, ['--method', 'yin', '--set', 'window'], 'name=value'],
    [2, ['--method', 'yin', '--display', 'slow'], '--display slow: say name=value'],
    [4, ['--method', 'yin', '--display', 'averagingMs=3'], 'display.averagingMs: 3 is below 50 ms'],
    [4, ['--method', 'nose'], 'nose'],
    [4, ['--method', 'yin', '--set', 'widow=1'], 'widow'],
    [4, ['--method', 'yin', '--set', 'window=1e9'], 'window: 1000000000 is above'],
    [4, ['--method', 'yin', '--lowest', '500', '--highest', '400'], '--highest'],
    [4, ['--method', 'partial-fit', '--target', 'loud'], '--target'],
    [4, ['--method', 'partial-fit', '--target', '1e9'], '--target: 1000000000 is above'],
  ]
  it.each(usage)('exits %i for %j', async (code, words, sentence) => {
    const result = await runCli('listen', at('ok.wav'), ...words)
    expect(result.code).toBe(code)
    expect(result.err).toContain(sentence)
    expect(result.out).toBe('')
  })
})

describe('score', () => {
  it('scores the readings of any program', async () => {
    const rows = Array.from({ length: 200 }, (_, i) => `${(i * 0.01).toFixed(2)},${i < 30 ? 0 : 110 * 2 ** (2 / 1200)}`)
    writeFileSync(at('r.csv'), `time,frequency\n${rows.join('\n')}\n`)
    writeFileSync(at('t.csv'), 'time,frequency\n0.2,110.3\n0.5,110\n')
    const { code, out } = await runCli('score', at('r.csv'), '--truth', at('t.csv'), '--onset', '0.2', '--json')
    expect(code).toBe(0)
    const score = JSON.parse(out)
    expect(score.medianCents).toBeCloseTo(2, 6)
    expect(score.claim).toBe('true')
    // First reading at 0.30 s, so readings span the hold of 0.25 s from 0.30 to 0.55 s: 0.35 s after the onset.
    expect(score.lockS).toBeCloseTo(0.35, 6)
    expect(score.offsetCents).toBeNull()
  })

  it('names file and line of what it cannot read', async () => {
    writeFileSync(at('r.csv'), 'time,frequency\n0.1,110\nsoon,110\n')
    writeFileSync(at('t.csv'), 'time,frequency\n0,110\n')
    const soon = await runCli('score', at('r.csv'), '--truth', at('t.csv'), '--onset', '0')
    expect(soon).toMatchObject({ code: 4, err: expect.stringContaining('r.csv.line 3.time') })
    writeFileSync(at('r.csv'), 'a,b\n')
    expect((await runCli('score', at('r.csv'), '--truth', at('t.csv'), '--onset', '0')).code).toBe(4)
    expect((await runCli('score', at('r.csv'), '--truth', at('t.csv'), '--onset', 'x')).code).toBe(4)
    expect((await runCli('score', at('r.csv'), '--truth', at('t.csv'))).code).toBe(2)
  })
})

describe('the others', () => {
  it('list methods and rooms, as JSON too', async () => {
    expect(JSON.parse((await runCli('methods', '--json')).out).map((entry: { id: string }) => entry.id)).toContain(
      'partial-fit',
    )
    expect(JSON.parse((await runCli('rooms', '--json')).out).rooms.map((room: { id: string }) => room.id)).toContain(
      'stage',
    )
    expect((await runCli('methods')).out).toContain('yin (blind)')
    expect((await runCli('rooms')).out).toContain('stage')
  })

  it('tell the bound of a scene', async () => {
    const { code, out } = await runCli('bound', at('scene.json'), '--json')
    expect(code).toBe(0)
    const { spans, boundLockS } = JSON.parse(out)
    const known = spans.map((span: { knownCents: number }) => span.knownCents)
    expect(known).toEqual([...known].sort((a, b) => b - a))
    for (const span of spans) expect(span.unknownCents).toBeGreaterThanOrEqual(span.knownCents)
    expect(boundLockS).toBeGreaterThan(0)
    expect((await runCli('bound', at('scene.json'), '--span', '-1')).code).toBe(4)
  })

  it('refuse unknown commands and options, and help with all', async () => {
    expect((await runCli('dance')).code).toBe(2)
    expect((await runCli('methods', 'now')).code).toBe(2)
    expect((await runCli('sweep', 'quick')).code).toBe(2)
    expect(await runCli('sweep', 'never-heard-of', '--out', at('x.jsonl'))).toMatchObject({
      code: 4,
      err: expect.stringContaining('first, quick'),
    })
    expect(await runCli('sweep', 'quick', '--instrument', 'ring-bass', '--out', at('x.jsonl'))).toMatchObject({
      code: 4,
      err: expect.stringContaining('only the study plan takes an instrument'),
    })
    expect(await runCli('sweep', 'plan', '--instrument', 'kazoo', '--out', at('x.jsonl'))).toMatchObject({
      code: 4,
      err: expect.stringContaining('no instrument "kazoo"'),
    })
    expect((await runCli('sweep', 'plan', '--shard', '3/2', '--out', at('x.jsonl'))).code).toBe(4)
    expect(existsSync(at('x.jsonl'))).toBe(false)
    for (const command of [
      'methods',
      'rooms',
      'instruments',
      'render',
      'listen',
      'score',
      'bound',
      'sweep',
      'merge',
      'summary',
      'plan',
    ]) {
      expect(await runCli(command, '--help')).toMatchObject({ code: 0, out: expect.stringContaining('Usage') })
    }
  })
})

describe('methods', () => {
  it('tells how long each computes here, with engine and cores', async () => {
    const { code, out } = await runCli('methods', '--time', '--json', '--method', 'yin', 'partial-fit')
    expect(code).toBe(0)
    const found = JSON.parse(out)
    expect(found.engine).toBe(`node ${process.version}`)
    expect(found.cores).toBeGreaterThan(0)
    expect(found.methods.map(({ method }: { method: string }) => method)).toEqual(['yin', 'partial-fit'])
    for (const { method, microsecondsAFrame, rounds, coreShare, keepsUp, problem } of found.methods) {
      expect(problem, method).toBeNull()
      expect(microsecondsAFrame, method).toBeGreaterThan(0)
      expect([method, rounds, keepsUp]).toEqual([method, 7, coreShare < 1])
    }
  })

  it('refuses an unknown one', async () => {
    expect(await runCli('methods', '--time', '--method', 'no-such')).toMatchObject({ code: 4, out: '' })
  })
})
