import { describe, expect, it } from 'vitest'
import { listen } from '../../src/core/methods/listen.ts'
import type { Method, Reading, Stream } from '../../src/core/methods/method.ts'
import { choiceOfChain } from '../../src/core/plan/asmethod.ts'
import { Problem } from '../../src/core/problem.ts'
import { firstHold } from '../../src/core/score/claim.ts'
import { methodNames } from '../../src/core/score/summary.ts'
import { planAsMethod } from '../../src/core/study/chained.ts'
import { parseStudy } from '../../src/core/study/parse.ts'
import { openStudy } from '../../src/core/study/trial.ts'

const rate = 48000
/** A reading every 25 ms: the tenth is the first that has a quarter of a second behind it, and completes the hold. */
const hop = 1200
const claim = { spanCents: 6, holdS: 0.25, tolCents: 5 }
const stream: Stream = { sampleRateHz: rate, lowestHz: 30, highestHz: 1400, targetHz: 110, room: null }

/** Reads so many cents off 110 Hz, from what it has heard since it was switched on; NaN declines. */
const reads = (id: string, centsAt: (reading: number) => number, family: Method['family'] = 'aimed'): Method => ({
  ...{ id, title: id, source: 'made', family, fields: {} },
  open() {
    let heard = 0
    let answered = 0
    return {
      push(samples, emit) {
        for (let i = 0; i < samples.length; i++) {
          if (++heard % hop !== 0) continue
          const f0Hz = 110 * 2 ** (centsAt(answered++) / 1200)
          emit({
            fromSample: heard - hop,
            toSample: heard,
            atSample: heard - hop / 2,
            f0Hz,
            confidence: 1,
            spreadCents: 1,
          })
        }
      },
    }
  },
})

const silence = (seconds: number): Float32Array => new Float32Array(seconds * rate)
const cents = ({ f0Hz }: Reading): number => 1200 * Math.log2(f0Hz / 110)
/** That moment, up to the end of the piece of 64 samples. */
const changeSample = Math.ceil((10 * hop) / 64) * 64

describe('a chain on one pluck', () => {
  it('near the note: the rough stage until its claim, which is declined, then the fine one on what it hears from there', () => {
    const chain = planAsMethod(
      [{ method: reads('rough', () => 4), letGoCents: 5 }],
      reads('fine', () => 1),
      claim,
    )
    const readings = listen(chain, silence(1), stream)
    expect(readings.slice(0, 9).map(cents).map(Math.round)).toEqual(new Array(9).fill(4))
    expect(readings[9].toSample).toBe(10 * hop)
    expect(readings[9].f0Hz).toBeNaN()
    for (const reading of readings.slice(10)) expect(cents(reading)).toBeCloseTo(1, 9)
    expect(readings[10].fromSample).toBe(changeSample)
    expect(readings[10].toSample).toBe(changeSample + hop)
    // The chain claims when the fine stage has held for its own quarter of a second.
    expect(firstHold(readings, rate, claim)?.lockS).toBeCloseTo((changeSample + 10 * hop) / rate, 9)
  })

  it('far off: the rough claim is the chain’s, and the stage stays', () => {
    const chain = planAsMethod(
      [{ method: reads('rough', () => -20), letGoCents: 5 }],
      reads('fine', () => 1),
      claim,
    )
    const readings = listen(chain, silence(1), stream)
    expect(readings).toEqual(
      listen(
        reads('rough', () => -20),
        silence(1),
        stream,
      ),
    )
    expect(firstHold(readings, rate, claim)?.lockS).toBeCloseTo((10 * hop) / rate, 9)
  })

  it('a rough stage that never settles is all there is', () => {
    const restless = reads('rough', (reading) => (reading % 2) * 30)
    const chain = planAsMethod(
      [{ method: restless, letGoCents: 50 }],
      reads('fine', () => 1),
      claim,
    )
    expect(listen(chain, silence(1), stream)).toEqual(listen(restless, silence(1), stream))
  })

  it('of three stages each hears from where the one before let go', () => {
    const stages = [
      { method: reads('rough', () => 8), letGoCents: 10 },
      { method: reads('middle', () => 3), letGoCents: 5 },
    ]
    const readings = listen(
      planAsMethod(
        stages,
        reads('fine', () => 0),
        claim,
      ),
      silence(1.5),
      stream,
    )
    expect(readings.filter(({ f0Hz }) => Number.isNaN(f0Hz)).map(({ toSample }) => toSample)).toEqual([
      10 * hop,
      changeSample + 10 * hop,
    ])
    expect(cents(readings.at(-1) as Reading)).toBeCloseTo(0, 9)
  })

  it('blind: the let-go counts from the nearest note', () => {
    // 1.96 semitones over A2 is 4 c under B2.
    const rough = reads('rough', () => 196, 'blind')
    const fine = reads('fine', () => 0, 'blind')
    const deaf = { ...stream, targetHz: null }
    const handed = (letGoCents: number): boolean =>
      listen(planAsMethod([{ method: rough, letGoCents }], fine, claim), silence(1), deaf).some(({ f0Hz }) =>
        Number.isNaN(f0Hz),
      )
    expect([handed(5), handed(3)]).toEqual([true, false])
  })

  it('tells the note to the stages that are aimed, and to no other', () => {
    const told: (number | null)[] = []
    const spy = (family: Method['family']): Method => ({
      ...reads('spy', () => 0, family),
      open: ({ targetHz }) => {
        told.push(targetHz)
        return { push: () => undefined }
      },
    })
    const chain = planAsMethod([{ method: spy('blind'), letGoCents: 5 }], spy('aimed'), claim)
    expect(chain.family).toBe('aimed')
    chain.open(stream, {})
    expect(new Set(told)).toEqual(new Set([null, 110]))
  })

  it('does not depend on how the sound is cut', () => {
    const chain = planAsMethod(
      [{ method: reads('rough', () => 4), letGoCents: 5 }],
      reads('fine', () => 1),
      claim,
    )
    const whole = listen(chain, silence(1), stream)
    for (const block of [1, 63, 128, 1999]) expect(listen(chain, silence(1), stream, {}, block)).toEqual(whole)
  })
})

const chainChoice = { id: 'partial-fit', after: [{ id: 'yin', letGoCents: 10 }] }
const json = {
  ...{ strings: ['G3', 'E4'], rooms: ['white'], snrsDb: [20], repeats: 1, takeS: 1.8, detuneCents: 2 },
  methods: ['yin', 'partial-fit', chainChoice],
}

describe('a chain in a study', () => {
  it('is told apart by its stages', () => {
    const { methods } = parseStudy(json)
    expect(methods.map(methodNames(methods))).toEqual(['yin', 'partial-fit', 'partial-fit after yin ±10 c'])
    expect(() => parseStudy({ ...json, methods: [chainChoice, chainChoice] })).toThrow('stands there already')
  })

  it('is refused when a stage is not known, lets go of nothing, or ends blind after a note was told', () => {
    const refused = (choice: object): void => {
      expect(() => parseStudy({ ...json, methods: [choice] })).toThrow(Problem)
    }
    refused({ id: 'partial-fit', after: [{ id: 'nobody', letGoCents: 5 }] })
    refused({ id: 'partial-fit', after: [{ id: 'yin' }] })
    refused({ id: 'partial-fit', after: [{ id: 'yin', letGoCents: 0 }] })
    refused({ id: 'yin', after: [{ id: 'partial-fit', letGoCents: 5 }] })
  })

  it('is scored by the trials of its parts: true, and later than the rough one by a hold at least', () => {
    const study = openStudy(parseStudy(json), new Map())
    for (let index = 0; index < study.trialCount; index++) {
      const [rough, , chain] = study
        .run(index)
        .outcomes.map((outcome) => (outcome.state === 'scored' ? outcome.score : null))
      // In quiet, within 2 c of its note: the rough stage claims inside its let-go, then the fine one needs a hold of its own.
      expect(chain?.claim).toBe('true')
      expect(chain?.lockS).toBeGreaterThan((rough?.lockS ?? Number.NaN) + 0.25)
    }
  })

  it('comes out of a plan: stages of one method in a row are one', () => {
    const methods = [
      { id: 'yin', values: { hop: 256 } },
      { id: 'partial-fit', values: {} },
    ]
    const stage = (method: number, letGoCents: number) => ({ method, letGoCents, handOver: 'confirm' as const })
    expect(choiceOfChain({ stages: [stage(0, 5), stage(1, 3), stage(1, 1.5)], verified: true }, methods)).toEqual({
      ...methods[1],
      after: [{ ...methods[0], letGoCents: 5 }],
    })
    expect(choiceOfChain({ stages: [stage(1, 3), stage(1, 1.5)], verified: true }, methods)).toBe(methods[1])
  })
})
