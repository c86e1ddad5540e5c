/** An assumption in words: its value with unit, and for whom it holds. */
import type { Assumption } from '../../core/study/assumptions.ts'
import type { Study } from '../../core/study/study.ts'
import { stringWord } from '../bench/columns.ts'
import { listed } from '../bench/figures.ts'

const units: Readonly<Partial<Record<Assumption['unit'], string>>> = { ratio: '', count: '', 'dB/oct': ' dB an octave' }

/** "−14 dB", "0.000082"; '' for what is no number. Three digits: more are not known. */
export function valueWords({ value, unit }: Assumption): string {
  if (value === null) return ''
  return `${plain(value)}${units[unit] ?? ` ${unit}`}`.replace('-', '−')
}

/** Three digits, never in powers of ten. */
function plain(value: number): string {
  if (value === 0 || Math.abs(value) >= 100) return `${Math.round(value)}`
  const places = Math.min(9, 2 - Math.floor(Math.log10(Math.abs(value))))
  return value.toFixed(places).replace(/\.?0+$/, '')
}

/** "All strings", "E2 and A2", "front-acoustic". */
export function whoseWords({ group, of }: Assumption, study: Study): string {
  const { strings } = study
  const all = strings.length > 1 && (group === 'strings' || group === 'neighbours') && covers(of, strings)
  if (all) return 'all strings'
  return listed(of.map((id) => stringWord(study, id)))
}

const covers = (of: readonly string[], strings: Study['strings']): boolean => strings.every(({ id }) => of.includes(id))
