import { describe, expect, it } from 'vitest'
import { fitHand } from '../../src/core/plan/handfit.ts'
import { askedCents, beginHand, guidedHand, type HandGuide, isEnough } from '../../src/core/plan/handguide.ts'
import { TurnWatch, type WatchTold } from '../../src/core/plan/turnwatch.ts'
import { handPerformance } from './handperformance.ts'

const pluck = (cents: number) => ({
  ...({ kind: 'settled', cents, spreadCents: 0.2, reactionS: 0.4, turnS: 0.5 } as const),
})
const plucks = (guide: HandGuide, ...each: number[]): HandGuide =>
  each.reduce((one, cents) => guidedHand(one, pluck(cents), 1.5), guide)

describe('the guide of a measured hand', () => {
  it('lets a string that is in tune down first, and counts that for nothing', () => {
    const begun = plucks(beginHand([]), 3)
    expect(begun).toMatchObject({ step: 'down', askedCents: 145, pairs: [] })
    expect(plucks(begun, -130)).toMatchObject({ step: 'turn', askedCents: askedCents[0], pairs: [] })
  })

  it('makes a pair of every turn up, in cents that were asked for', () => {
    const { pairs, askedCents: next } = plucks(beginHand([]), -140, -131)
    expect(pairs).toEqual([
      {
        ...{ beforeCents: -140, afterCents: -131, intendedCents: 10, reactionS: 0.4, turnS: 0.5, centsPerDegree: 1.5 },
        spreadCents: expect.closeTo(0.2, 12),
      },
    ])
    expect(next).toBe(askedCents[1])
  })

  it('never asks for more than brings the string to its note', () => {
    let guide = plucks(beginHand([]), -140)
    let cents = -140
    for (let turn = 0; turn < 60; turn++) {
      if (guide.step === 'turn') expect(cents + guide.askedCents).toBeLessThanOrEqual(0)
      else expect(guide.askedCents).toBeGreaterThan(100)
      cents += guide.step === 'turn' ? guide.askedCents : -guide.askedCents
      guide = plucks(guide, cents)
    }
    expect(isEnough(guide)).toBe(true)
  })

  it('counts no pair when the pluck after the turn tells nothing, or of another string', () => {
    const begun = plucks(beginHand([]), -140)
    const unread = guidedHand(begun, { kind: 'unsettled', why: 'moving' }, 1.5)
    expect(unread).toMatchObject({ step: 'pluck', pairs: [], refused: 'moving' })
    expect(plucks(unread, -120).pairs).toEqual([])
    expect(plucks(begun, -40)).toMatchObject({ pairs: [], refused: 'astray' })
  })

  it('forgets the last pair when it is done again, and asks for the same turn', () => {
    const two = plucks(beginHand([]), -140, -131, -126)
    const redone = guidedHand(two, { kind: 'redo' }, 1.5)
    expect(redone).toMatchObject({ step: 'pluck', pairs: two.pairs.slice(0, 1) })
    expect(plucks(redone, -126)).toMatchObject({ step: 'turn', askedCents: askedCents[1] })
  })
})

describe('turns heard', () => {
  const rateHz = 48_000

  it('every planted turn is a pair, as large and as long as it was, in whatever blocks it is heard', () => {
    const played = handPerformance(rateHz, 0.5, 16)
    const hear = ({ samples }: { readonly samples: Float32Array }, block: number): HandGuide => {
      let guide = beginHand([])
      const watch = new TurnWatch(rateHz, played.noteHz, (told) => {
        if (told.kind !== 'onset') guide = guidedHand(guide, told, played.centsPerDegree)
      })
      for (let at = 0; at < samples.length; at += block) watch.push(samples.subarray(at, at + block), 0)
      return guide
    }
    const { pairs } = hear(played, 960)
    const few = handPerformance(rateHz, 0.5, 3)
    expect(hear(few, 1777).pairs).toEqual(pairs.slice(0, 3))
    // The room is heard for longer than readings are kept.
    const late = hear(handPerformance(rateHz, 25.5, 3), 960).pairs
    expect(late.length).toBe(3)
    expect(pairs.map(({ intendedCents }) => intendedCents)).toEqual(played.turns.map((turn) => turn.askedCents))
    const heard = [...pairs.entries(), ...late.entries()]
    for (const [i, { beforeCents, afterCents, reactionS, turnS }] of heard) {
      const turn = played.turns[i]
      if (turn === undefined) throw new Error('one too many')
      // Two readings of a ringing string whose partials lie off their law a little, in a window of its own each.
      expect(Math.abs(afterCents - beforeCents - turn.movedCents)).toBeLessThan(0.5)
      // A window is 85 ms long: a begin or an end is seen up to half of that early or late, and told on a raster of 10 ms.
      expect(Math.abs(reactionS - turn.reactionS)).toBeLessThan(0.053)
      expect(Math.abs(turnS - turn.turnS)).toBeLessThan(0.053)
    }
    const { gain } = fitHand(pairs, 1)
    expect(gain.low).toBeLessThanOrEqual(played.gain)
    expect(gain.high).toBeGreaterThanOrEqual(played.gain)
  })

  it('noise, silence and what is no number tell nothing; lost sound is said', () => {
    const told: WatchTold[] = []
    const watch = new TurnWatch(rateHz, 146.83, (one) => told.push(one))
    watch.push(new Float32Array(rateHz), 0)
    watch.push(new Float32Array(rateHz).fill(Number.NaN), 0)
    expect(told).toEqual([])
    const { samples, noteHz } = handPerformance(rateHz, 0.5, 1)
    const lossy = new TurnWatch(rateHz, noteHz, (one) => told.push(one))
    lossy.push(samples.subarray(0, 0.9 * rateHz), 0)
    lossy.push(samples.subarray(rateHz, 2 * rateHz), 0.1 * rateHz)
    expect(told).toEqual([{ kind: 'onset' }, { kind: 'unsettled', why: 'lost' }])
  })
})
