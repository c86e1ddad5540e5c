/** Figures of the efficiency part, and the causes of what lies under the bound, lettered. */
import type { Figure } from '../../core/score/summary.ts'
import { type BenchCell, trusted } from './columns.ts'
import { familyOf } from './families.ts'
import { listed, signedDb } from './figures.ts'

const finite = (cell: BenchCell | undefined, figure: Figure | null | undefined): Figure | null =>
  cell === undefined || figure === null || figure === undefined || !Number.isFinite(figure.value)
    ? null
    : trusted(cell, figure)

export const ratioOf = (cell: BenchCell | undefined): Figure | null => finite(cell, cell?.boundRatio)
export const offsetOf = (cell: BenchCell | undefined): Figure | null => finite(cell, cell?.offsetCents)

export interface Cause {
  readonly letter: string
  readonly words: string
  /** "yin at 0 and +10 dB". */
  readonly where: string
  readonly cells: readonly { readonly method: string; readonly snrDb: number }[]
}

/** One entry a cause; only ratios whose whole interval lies under 1, and only with trials enough for an interval. */
export function causesOf(
  ratios: readonly number[],
  methods: readonly string[],
  cellAt: (snrDb: number, method: string) => BenchCell | undefined,
): readonly Cause[] {
  const byWords = new Map<string, { method: string; snrDb: number }[]>()
  for (const method of methods) {
    for (const snrDb of ratios) {
      const cell = cellAt(snrDb, method)
      if (cell === undefined || cell.lacking > 0 || cell.boundNote === null) continue
      const words = wordsOf(cell.boundNote, method)
      const cells = byWords.get(words) ?? []
      byWords.set(words, cells)
      cells.push({ method, snrDb })
    }
  }
  return [...byWords].map(([words, cells], at) => ({
    letter: String.fromCharCode(97 + at),
    words,
    cells,
    where: listed(
      [...new Set(cells.map(({ method }) => method))].map((method) => {
        const own = cells.filter((cell) => cell.method === method)
        return `${method} at ${listed(own.map(({ snrDb }) => signedDb(snrDb)))} dB`
      }),
    ),
  }))
}

/** The core names both kinds of prior knowledge; which one a method has is known from its family. */
function wordsOf(note: string, method: string): string {
  if (!note.includes('(aimed methods)')) return note
  return familyOf(method) === 'aimed'
    ? 'it knows more than its own evidence: the note in hand and earlier readings (prior, memory), or it is pulled to one value (bias, see its offset)'
    : 'it knows more than its own evidence: earlier readings (memory), or it is pulled to one value (bias, see its offset)'
}
