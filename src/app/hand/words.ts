/** What the Hand page says: what is asked for, what the turns came to. */
import { defaultHand } from '../../core/plan/hand.ts'
import { type FittedName, fewestPairs } from '../../core/plan/handfit.ts'
import type { HandGuide } from '../../core/plan/handguide.ts'
import { lowestCents } from '../../core/plan/turnwatch.ts'
import { plainNumber } from '../bench/figures.ts'

export interface Asked {
  /** "+24"; '' where no turn is asked for. */
  readonly digits: string
  readonly title: string
  readonly note: string
}

const refusals: Readonly<Record<NonNullable<HandGuide['refused']>, string>> = {
  moving: 'It moved while it was read: that pluck counts for nothing.',
  'not-heard': 'No string was heard near this note: that pluck counts for nothing.',
  lost: 'Sound was lost on the way: that pluck counts for nothing.',
  astray: 'That was another string, or a slip: it counts for nothing.',
}

export function asked({ step, askedCents, from, refused }: HandGuide, title: string): Asked {
  const sorry = refused === null ? '' : `${refusals[refused]} `
  if (step === 'pluck' || from === null) {
    return { digits: '', title: `Pluck ${title}, let it ring`, note: `${sorry}Hold still until it is read.` }
  }
  const stands = from.cents <= 0 ? `${cents(-from.cents)} c under its note` : `${cents(from.cents)} c over its note`
  if (step === 'down') {
    return {
      digits: `−${askedCents}`,
      title: `Let down about ${askedCents} c`,
      note: `${sorry}It stands ${stands}. Slowly, to ${-lowestCents} c under or nearly so; then pluck.`,
    }
  }
  return {
    digits: `+${askedCents}`,
    title: `Turn up ${askedCents} c in one go`,
    note: `${sorry}It stands ${stands}. Turn while it rings, by feel; mute it; pluck again.`,
  }
}

/** A reading with the digits it is worth. */
const cents = (value: number): string => value.toFixed(value < 10 ? 1 : 0)

export function progressWords(n: number): string {
  if (n < fewestPairs) return `${n} of ${fewestPairs} turns`
  return `${n} turns: enough; more make the intervals narrower`
}

export interface FittedRow {
  readonly name: FittedName
  readonly title: string
  readonly unit: string
  readonly means: string
}

export const fittedRows: readonly FittedRow[] = [
  {
    name: 'turnGainSd',
    title: 'Spread of a turn',
    unit: '',
    means: 'off what was meant, as a share of it, whichever way',
  },
  { name: 'pegStepDeg', title: 'Rest of the peg', unit: '°', means: 'off where it should stop, however far it goes' },
  { name: 'reactionS', title: 'React', unit: ' s', means: 'from the reading to the first move' },
  { name: 'turnStartS', title: 'Begin a turn', unit: ' s', means: 'what every turn takes, however small' },
  { name: 'turnDegPerS', title: 'Turn the peg', unit: '°/s', means: 'once it moves' },
]

export const assumedWords = ({ name, unit }: FittedRow): string =>
  `not told by these turns: the assumption stays, ${plainNumber(defaultHand[name])}${unit}`

/** "You turn 0.90 times as far as you mean". */
export function gainWords(gain: number): string {
  const times = gain.toFixed(2)
  if (times === '1.00') return 'You turn as far as you mean.'
  return `You turn ${times} times as far as you mean.`
}
