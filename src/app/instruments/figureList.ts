/** The figures that are compared string by string: title, unit, places, and how they are read off a string. */
import type { StringFigures } from '../../core/instruments/figures.ts'
import type { Reckoning } from '../../core/instruments/reckoning.ts'
import { alarmShare } from '../../core/instruments/strength.ts'
import { inHundredThousandths, inPercent } from './sentences.ts'

export interface ShownFigure {
  readonly id: 'tension' | 'peg' | 'load' | 'stiffness' | 'warmth' | 'margin'
  readonly title: string
  /** Under the title: what it is of. */
  readonly note: string
  readonly places: number
  read(string: StringFigures): Reckoning
  /** From where on it calls out, in its own unit. */
  readonly alarmFrom?: number
}

export const alarmPercent = Math.round(100 * alarmShare)

export const shownFigures: readonly ShownFigure[] = [
  { id: 'tension', title: 'Tension, N', note: 'open string, tuned', places: 1, read: (string) => string.tensionN },
  { id: 'peg', title: 'Peg, c a degree', note: 'of the button', places: 2, read: (string) => string.centsPerDegree },
  {
    id: 'load',
    title: 'Load, %',
    note: 'of least strength',
    places: 0,
    read: (string) => inPercent(string.strengthShare),
    alarmFrom: alarmPercent,
  },
  {
    id: 'stiffness',
    title: 'B, × 10⁻⁵',
    note: 'stiffness, core',
    places: 1,
    read: (string) => inHundredThousandths(string.stiffness),
  },
  {
    id: 'warmth',
    title: 'Warmth, c a K',
    note: 'neck stands still',
    places: 1,
    read: (string) => string.centsPerKelvin,
  },
]

/** Beside the load in tables: how far up until the alarm. */
export const marginFigure: ShownFigure = {
  id: 'margin',
  title: 'Half steps',
  note: 'up to alarm',
  places: 1,
  read: (string) => string.semitonesToAlarm,
}
