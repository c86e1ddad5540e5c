/** The guided take: what is asked for after what, and that late, broken and refused answers change what they should only. */
import { describe, expect, it } from 'vitest'
import { beginGuide, type Guide, type GuideEvent, guided, openStrings } from '../../src/core/room/guide.ts'

const told = (guide: Guide, ...events: GuideEvent[]): Guide => events.reduce(guided, guide)
const advance = { kind: 'advance' } as const
const keptNow = (guide: Guide, broken: 'lost' | 'overload' | 'silent' | null = null): Guide =>
  guided(guide, { kind: 'kept', ticket: guide.ticket, broken })
const plucked = (guide: Guide): Guide => keptNow(guided(guide, { kind: 'onset', ticket: guide.ticket }))

const damp = told(beginGuide(['E2', 'A2', 'D3']), advance, { kind: 'listening', on: true })
const first = keptNow(guided(damp, advance))

describe('the guided take', () => {
  it('goes through reminder, input, noise and every string, and is done', () => {
    expect(beginGuide(['E2']).step).toBe('reminder')
    expect(told(beginGuide(['E2']), advance).step).toBe('input')
    // A press does not stand for an input.
    expect(told(beginGuide(['E2']), advance, advance).step).toBe('input')
    expect(damp.step).toBe('damp')
    expect(guided(damp, advance).step).toBe('noise')
    expect([first.step, first.asked]).toEqual(['pluck', 'E2'])
    const second = plucked(first)
    expect([second.step, second.asked]).toEqual(['pluck', 'A2'])
    const done = plucked(plucked(second))
    expect([done.step, done.asked]).toEqual(['done', null])
    expect(done.strings.map(({ standing }) => standing)).toEqual(['kept', 'kept', 'kept'])
  })

  it('lets no late answer through: a ticket is used once', () => {
    const keeping = guided(first, { kind: 'onset', ticket: first.ticket })
    expect(keeping.step).toBe('keep')
    expect(guided(first, { kind: 'onset', ticket: first.ticket - 1 })).toBe(first)
    expect(guided(keeping, { kind: 'kept', ticket: keeping.ticket - 1, broken: null })).toBe(keeping)
    expect(plucked(first).ticket).toBeGreaterThan(first.ticket)
    expect(guided(first, { kind: 'redo', string: 'E2' }).ticket).toBeGreaterThan(first.ticket)
  })

  it('asks again for what is broken, noise and string alike, as often as it takes', () => {
    const silent = keptNow(guided(damp, advance), 'silent')
    expect([silent.step, silent.noise]).toEqual(['damp', 'silent'])
    expect(keptNow(guided(silent, advance)).step).toBe('pluck')
    let again = first
    for (let times = 0; times < 4; times++) {
      again = keptNow(guided(again, { kind: 'onset', ticket: again.ticket }), 'lost')
      expect([again.step, again.asked, again.strings[0]?.standing]).toEqual(['pluck', 'E2', 'lost'])
    }
  })

  it('brings a string back at the end that was another one or was not heard, twice at most', () => {
    const why = { kind: 'refused', string: 'E2', why: 'other-string', other: 'A2' } as const
    const later = guided(plucked(first), why)
    expect(later.asked).toBe('A2')
    expect(later.strings[0]).toMatchObject({ standing: 'other-string', other: 'A2' })
    const back = plucked(plucked(later))
    expect([back.step, back.asked]).toEqual(['pluck', 'E2'])
    const done = guided(plucked(back), why)
    expect([done.step, openStrings(done)]).toEqual(['done', []])
    // A refusal of the last string opens a take that seemed done.
    const ended = plucked(plucked(plucked(first)))
    expect(guided(ended, { kind: 'refused', string: 'D3', why: 'not-heard', other: null }).asked).toBe('D3')
    // One about a string that is asked for again is about an older pluck.
    const redoing = guided(ended, { kind: 'redo', string: 'E2' })
    expect(guided(redoing, why)).toBe(redoing)
  })

  it('skips, does over, and takes the word of a person for a pluck that nothing found', () => {
    expect(guided(first, { kind: 'skip' })).toMatchObject({ asked: 'A2', step: 'pluck' })
    const redone = guided(plucked(first), { kind: 'redo', string: 'E2' })
    expect(redone).toMatchObject({ asked: 'E2', step: 'pluck' })
    expect(plucked(redone).asked).toBe('A2')
    expect(guided(first, { kind: 'redo', string: null })).toMatchObject({ step: 'damp', noise: 'to-do' })
    expect(guided(first, { kind: 'redo', string: 'G9' })).toBe(first)
    const forced = guided(first, advance)
    expect(forced).toMatchObject({ step: 'keep', forced: true })
    expect(keptNow(forced)).toMatchObject({ asked: 'A2', forced: false })
  })

  it('goes back to the input when it is gone, and on from where it was', () => {
    const lost = guided(plucked(first), { kind: 'listening', on: false })
    expect(lost).toMatchObject({ step: 'input', noise: 'kept', asked: null })
    expect(guided(lost, { kind: 'listening', on: true })).toMatchObject({ step: 'pluck', asked: 'A2' })
    const done = plucked(plucked(plucked(first)))
    expect(guided(done, { kind: 'listening', on: false }).step).toBe('done')
  })
})
