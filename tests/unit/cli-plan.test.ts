/** `plan` as a caller sees it: the shape of its answer, what it takes for granted, and what it refuses. */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { parseStudy } from '../../src/core/study/parse.ts'
import { headerOf, recordLine } from '../../src/core/study/record.ts'
import { openStudy } from '../../src/core/study/trial.ts'
import { runCli } from './clirun.ts'

const folder = mkdtempSync(join(tmpdir(), 'bench-plan-'))
const path = join(folder, 'run.jsonl')

const plan = (...words: string[]): ReturnType<typeof runCli> => runCli('plan', path, ...words)

beforeAll(() => {
  // Bare strings stand for the first instrument's: the same six pitches.
  const study = parseStudy({
    strings: ['E2', 'A2', 'D3', 'G3', 'B3', 'E4'],
    rooms: ['white'],
    snrsDb: [10, 20],
    repeats: 2,
    takeS: 1.2,
    methods: ['spectral-peak', 'partial-fit'],
  })
  const open = openStudy(study, new Map())
  const outcomes = Array.from({ length: open.trialCount }, (_, index) => open.run(index).outcomes).flat()
  writeFileSync(path, [headerOf(study, '0', 'test'), ...outcomes].map(recordLine).join(''))
  // Two dozen plucks: seconds on a quiet machine, no verdict on a busy one.
}, 60_000)
afterAll(() => rmSync(folder, { recursive: true }))

describe('plan', () => {
  it('says in JSON what it took for granted and what it found; what is not feasible is an answer', async () => {
    const { code, out } = await plan('--budget', '20', '--within', '3', '--json')
    expect(code).toBe(0)
    const answer = JSON.parse(out)
    expect(answer).toMatchObject({ instrument: 'ring-rhythm', room: 'white', snrDb: 10, bridge: 'fixed', seed: 1 })
    // 24 plucks and 6 turns of a hand that needs 1.15 s and 0.35 s: 29.7 s without any detector.
    expect(answer.verdict).toBe('infeasible')
    expect(answer.choices).toHaveLength(4)
    for (const figure of [answer.chance, answer.timeP90S, answer.worstP95Cents, answer.unverified.chance]) {
      expect(figure).toEqual({
        value: expect.any(Number),
        low: expect.any(Number),
        high: expect.any(Number),
        n: 512,
      })
      expect(figure.low).toBeLessThanOrEqual(figure.high)
    }
    expect(answer.frontier.length).toBeGreaterThan(0)
    expect(answer.caution).toContain('Fewer than 50 plucks')
    expect((await plan('--budget', '20', '--within', '3', '--json')).out).toBe(out)
  })

  it('says when a ratio between recorded ones is planned for as the noisier of them', async () => {
    const answer = JSON.parse((await plan('--budget', '90', '--within', '5', '--snr', '17', '--json')).out)
    expect(answer.caution).toContain('Nothing was recorded at 17 dB: counted as at 10 dB, the next noisier ratio')
  })

  it('is numbered sentences without --json', async () => {
    const { out } = await plan('--budget', '90', '--within', '5', '--snr', '20')
    expect(out).toMatch(/^ring-rhythm, white at 20 dB/)
    // By the name that --json and the page have for it.
    expect(out).toMatch(/\n1\. (spectral-peak|partial-fit)[,:] /)
  })

  it.each([
    [['--budget', '20'], 2, 'within'],
    [['--budget', 'soon', '--within', '3'], 4, '--budget: "soon" is not a number'],
    [['--budget', '0', '--within', '3'], 4, 'budget: 0 is not between 1 and 3600 s'],
    [['--budget', '20', '--within', '3', '--snr', '0'], 4, '0 dB is outside what was recorded in white, 10 to 20 dB'],
    [['--budget', '20', '--within', '3', '--room', 'hall'], 4, 'no room "hall" in this run; it has white'],
    [['--budget', '20', '--within', '3', '--instrument', 'ring-bass'], 4, 'this run has no'],
    [['--budget', '20', '--within', '3', '--bridge', 'rubber'], 4, '"rubber" is neither fixed nor floating'],
  ])('refuses %j', async (words, code, sentence) => {
    const answer = await plan(...words)
    expect(answer.code).toBe(code)
    expect(answer.err).toContain(sentence)
  })
})
