/** One or two set-ups, string by string, lowest string on top: what charts and tables draw. */
import type { SetupComparison } from '../../core/instruments/compare.ts'
import type { InstrumentFigures, StringFigures } from '../../core/instruments/figures.ts'
import type { SidedString } from './StringWord.tsx'

export interface StringPair {
  readonly number: number
  /** "E2", or "E2 → D#2". */
  readonly name: string
  readonly first: StringFigures | null
  /** null: no such string, or one set-up only. */
  readonly second: StringFigures | null
  /** Change of tension, %; NaN without two. */
  readonly tensionPercent: number
}

export const pairsOfOne = ({ strings }: InstrumentFigures): readonly StringPair[] =>
  strings
    .map((string) => ({
      number: string.number,
      name: string.note,
      first: string,
      second: null,
      tensionPercent: Number.NaN,
    }))
    .reverse()

export const pairsOfTwo = ({ strings }: SetupComparison): readonly StringPair[] =>
  strings
    .map(({ number, from, to, changes }) => ({
      number,
      name: from?.note ?? to?.note ?? '',
      first: from,
      second: to,
      tensionPercent: changes?.tensionN.percent.value ?? Number.NaN,
    }))
    .reverse()

export const sidesOf = ({ first, second }: StringPair): readonly SidedString[] => [
  ...(first === null ? [] : [{ side: 'first', string: first } as const]),
  ...(second === null ? [] : [{ side: 'second', string: second } as const]),
]
