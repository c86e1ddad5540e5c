/**
 * What a person is told of methods that run live, row by row and all together: plain values and words, computed from a
 * LiveView's rows ten times a second.
 *
 * A reading stands inside the tolerance while it is steady, which is what a claim asks for: the claim itself is the first
 * since the pluck and stays, so after a turn of the peg it would speak of a string that is gone.
 */
import { centsBetween } from '../../core/maths/units.ts'
import type { LiveRow } from '../../host/liveview.ts'

/** `waits`: no reading yet. `declines`: the newest says nothing. `another`: another note than the target's is read as if it were it. */
export type RowState = 'waits' | 'declines' | 'moving' | 'steady' | 'another'

export interface RowTold {
  readonly state: RowState
  /** Newest reading off the target; NaN: none. */
  readonly cents: number
  /** Newest first; NaN: declined or not there. */
  readonly lastCents: readonly number[]
  /** Two of the method's own standard deviations; NaN: it states none. */
  readonly whiskerCents: number
  readonly steadyForS: number
  /** Steady and within the tolerance. */
  readonly inside: boolean
  readonly claimCents: number | null
}

const sigmas = 2

export function rowTold(row: LiveRow, targetHz: number, toleranceCents: number): RowTold {
  const lastCents = Array.from(row.lastHz, (hz) => centsBetween(hz, targetHz))
  const cents = lastCents[0] ?? Number.NaN
  const steadyForS = row.toS - row.steadySinceS
  const state = row.count === 0 ? 'waits' : Number.isNaN(cents) ? 'declines' : steadyForS >= 0 ? 'steady' : 'moving'
  return {
    state,
    cents,
    lastCents,
    whiskerCents: sigmas * row.spreadCents,
    steadyForS,
    inside: state === 'steady' && Math.abs(cents) <= toleranceCents,
    claimCents: row.claim === null ? null : centsBetween(row.claim.f0Hz, targetHz),
  }
}

/**
 * The same while another note than the target's sounds: what an aimed method reads is none of the target's, and no claim is. What
 * blind methods read is what sounds.
 */
export function besideAnother(told: RowTold, aimed: boolean): RowTold {
  const reads = told.state === 'moving' || told.state === 'steady'
  return { ...told, claimCents: null, ...(aimed && reads ? { state: 'another', inside: false } : {}) }
}

/** "−1.8", "+0.1", "0.0"; whole cents from 100 up. */
export function written(cents: number): string {
  if (!Number.isFinite(cents)) return '—'
  const text = Math.abs(cents).toFixed(Math.abs(cents) < 99.95 ? 1 : 0)
  if (Number(text) === 0) return text
  return `${cents < 0 ? '−' : '+'}${text}`
}

/** "steady since 0.4 s", "moving, spans 23 c". */
export function stateWords({ state, steadyForS, lastCents }: RowTold): string {
  if (state === 'steady') return `steady since ${steadyForS.toFixed(1)} s`
  if (state === 'waits') return 'no reading yet'
  if (state === 'declines') return 'declines'
  if (state === 'another') return 'another note'
  const there = lastCents.filter((cents) => !Number.isNaN(cents))
  const span = Math.max(...there) - Math.min(...there)
  return there.length < 2 ? 'moving' : `moving, spans ${span < 10 ? span.toFixed(1) : span.toFixed(0)} c`
}

/** "inside ±3, flat", "outside ±3, sharp", "no steady reading", "not this string". */
export function insideWords(told: RowTold, toleranceCents: number): string {
  if (told.state === 'another') return 'not this string'
  if (told.state !== 'steady') return 'no steady reading'
  return `${told.inside ? 'inside' : 'outside'} ±${toleranceCents}, ${sideWord(told.cents)}`
}

export const sideWord = (cents: number): string =>
  Math.abs(cents) < 0.05 ? 'on the note' : cents < 0 ? 'flat' : 'sharp'

/** Closer than the smallest step that is shown. */
const sameCents = 0.1

/** How far the steady methods differ, and which are the ends; '' while fewer than two are steady. */
export function differenceWords(rows: readonly { readonly title: string; readonly told: RowTold }[]): string {
  const steady = rows.filter(({ told }) => told.state === 'steady').sort((a, b) => a.told.cents - b.told.cents)
  const [lowest, highest] = [steady[0], steady.at(-1)]
  if (steady.length < 2 || lowest === undefined || highest === undefined) return ''
  const span = highest.told.cents - lowest.told.cents
  if (span < sameCents) return `The ${steady.length} steady methods say the same.`
  return `Methods differ by ${span.toFixed(1)} c: ${lowest.title} reads lowest, ${highest.title} highest.`
}
