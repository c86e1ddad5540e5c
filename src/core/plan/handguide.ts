/**
 * The measuring of a hand as a value: how far the string is to be turned next, and the pairs so far. What was heard goes in, the next
 * value comes out.
 *
 * The string is let down and comes up in stated turns, each told in cents and made without a reading to follow, then plucked:
 * every pluck ends one pair and begins the next. It never has to go above its note. Turns down, and the pluck after them, count for
 * nothing but the next beginning. Small and large turns take turns, or gain and rest of the peg could not be told apart.
 */
import { fewestPairs, type TurnPair } from './handfit.ts'
import { lowestCents, type SettledPluck } from './turnwatch.ts'

export type HandStep = 'pluck' | 'turn' | 'down'

export interface HandGuide {
  readonly step: HandStep
  /** How far up (`turn`) or down (`down`); 0 for `pluck`. */
  readonly askedCents: number
  /** The pluck that the turn begins from; null: none yet. */
  readonly from: SettledPluck | null
  readonly pairs: readonly TurnPair[]
  /** Why the last pluck counts for nothing, if it does not. */
  readonly refused: 'moving' | 'not-heard' | 'lost' | 'astray' | null
}

export type HandEvent =
  | ({ readonly kind: 'settled' } & SettledPluck)
  | { readonly kind: 'unsettled'; readonly why: 'moving' | 'not-heard' | 'lost' }
  /** Forgets the last pair. */
  | { readonly kind: 'redo' }

/**
 * Cents, in this order, again and again: from about the smallest that a hand is asked for to a good part of what it meets at a
 * change of tuning (own choice). All eight fit between the lowest pitch and the note.
 */
export const askedCents = [10, 5, 24, 7, 36, 4, 16, 28] as const
/** Further off than this it was another string, an octave, or a slip. */
const astrayCents = 60

export const beginHand = (pairs: readonly TurnPair[]): HandGuide => ({
  step: 'pluck',
  askedCents: 0,
  from: null,
  pairs,
  refused: null,
})

export const isEnough = ({ pairs }: Pick<HandGuide, 'pairs'>): boolean => pairs.length >= fewestPairs

export function guidedHand(guide: HandGuide, event: HandEvent, centsPerDegree: number): HandGuide {
  switch (event.kind) {
    case 'unsettled':
      // What became of the turn is not known: the next pluck is a beginning.
      return { ...beginHand(guide.pairs), refused: event.why }
    case 'redo':
      return beginHand(guide.pairs.slice(0, -1))
    case 'settled': {
      const { kind: _kind, ...pluck } = event
      return plucked(guide, pluck, centsPerDegree)
    }
  }
}

function plucked(guide: HandGuide, pluck: SettledPluck, centsPerDegree: number): HandGuide {
  const { step, from, pairs } = guide
  if (step !== 'turn' || from === null) return asking(pairs, pluck)
  const moved = pluck.cents - from.cents
  if (Math.abs(moved - guide.askedCents) > astrayCents) return { ...asking(pairs, pluck), refused: 'astray' }
  const pair: TurnPair = {
    beforeCents: from.cents,
    afterCents: pluck.cents,
    intendedCents: guide.askedCents,
    reactionS: pluck.reactionS,
    turnS: pluck.turnS,
    centsPerDegree,
    // Of two readings that scatter differently, the mean of their variances.
    spreadCents: Math.hypot(from.spreadCents, pluck.spreadCents) / Math.SQRT2,
  }
  return asking([...pairs, pair], pluck)
}

function asking(pairs: readonly TurnPair[], from: SettledPluck): HandGuide {
  const next = askedCents[pairs.length % askedCents.length] ?? 0
  const up = from.cents + next <= 0
  return {
    step: up ? 'turn' : 'down',
    // In steps of five: nobody lets down more exactly, and nobody has to.
    askedCents: up ? next : 5 * Math.round((from.cents - lowestCents) / 5),
    from,
    pairs,
    refused: null,
  }
}
