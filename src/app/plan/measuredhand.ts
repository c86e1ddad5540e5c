/**
 * The hand that was measured on a real instrument, kept by this browser turn by turn: its figures are worked out anew from the turns
 * whenever they are wanted, so that what a plan says of them can be checked.
 */
import { create } from 'zustand'
import type { Field } from '../../core/fields.ts'
import { type Hand, handFields } from '../../core/plan/hand.ts'
import { countsAsTurn, fewestPairs, fitHand, type HandFit, type TurnPair } from '../../core/plan/handfit.ts'
import type { MeasuredHand } from './choices.ts'

/** null: none, or too few turns so far. */
export const useMeasuredHand = create<{ readonly measured: MeasuredHand | null }>(() => ({ measured: null }))

/** Of the pairs drawn anew for the intervals. */
export const handSeed = 1

/** A digit that can be read. Every limit and default stands on it: a field puts what it holds on its steps. */
export const stepOf = ({ max, whole }: Field): number => (whole === true ? 1 : max <= 3 ? 0.01 : max <= 40 ? 0.1 : 1)

/** null: too few turns to tell a hand by. */
export function handOf(pairs: readonly TurnPair[]): HandFit | null {
  return pairs.filter(countsAsTurn).length < fewestPairs ? null : fitHand(pairs, handSeed)
}

/** On the steps of the fields, so that it stays what was measured while it is looked at. */
export function measuredOf({ hand, figures, n }: HandFit): MeasuredHand {
  const rounded = Object.entries(hand).map(([name, value]) => {
    const step = stepOf(handFields[name as keyof Hand])
    return [name, Number((Math.round(value / step) * step).toFixed(2))]
  })
  const intervals = Object.entries(figures).flatMap(([name, figure]) =>
    figure === null ? [] : [[name, [figure.low, figure.high] as const]],
  )
  return { hand: Object.fromEntries(rounded), intervals: Object.fromEntries(intervals), n }
}

const place = 'clatterbench-hand'

/** What the browser keeps; what cannot be read is left out. */
export function keptTurns(): readonly TurnPair[] {
  try {
    const written: unknown = JSON.parse(window.localStorage.getItem(place) ?? '[]')
    return Array.isArray(written) ? written.flatMap(turnOf) : []
  } catch {
    return []
  }
}

function turnOf(written: Readonly<Record<string, unknown>> | null): TurnPair[] {
  const number = (name: keyof TurnPair): number => {
    const value = written?.[name]
    return typeof value === 'number' ? value : Number.NaN
  }
  const pair = {
    beforeCents: number('beforeCents'),
    afterCents: number('afterCents'),
    intendedCents: number('intendedCents'),
    // No value is null in JSON.
    reactionS: number('reactionS'),
    turnS: number('turnS'),
    centsPerDegree: number('centsPerDegree'),
    spreadCents: number('spreadCents'),
  }
  return countsAsTurn(pair) && pair.spreadCents >= 0 ? [pair] : []
}

/** false: the browser refused. Plans take the newest over either way. */
export function keepTurns(pairs: readonly TurnPair[]): boolean {
  take(pairs)
  try {
    window.localStorage.setItem(place, JSON.stringify(pairs))
    return true
  } catch {
    return false
  }
}

/** Of an earlier visit. */
export const restoreHand = (): void => take(keptTurns())

function take(pairs: readonly TurnPair[]): void {
  const fit = handOf(pairs)
  useMeasuredHand.setState({ measured: fit === null ? null : measuredOf(fit) })
}
