/**
 * A set-up to look at: an instrument, with other gauges or another tuning in mind. Nothing here changes the instrument; the
 * figures come from the same functions as those of the instruments themselves.
 */
import { transposed, withGauges, withTuning } from '../../core/instruments/compare.ts'
import { type GaugeSet, gaugeSetById, gaugeSets } from '../../core/instruments/gauges.ts'
import type { Gauge, Gauges, Instrument } from '../../core/instruments/instrument.ts'
import { parseInstrument } from '../../core/instruments/parse.ts'
import { type Tuning, tuningById, tuningNotes, tunings } from '../../core/instruments/tunings.ts'
import { Problem } from '../../core/problem.ts'

export interface Changes {
  /** Id of a gauge set; null: its own. */
  readonly gauges: string | null
  /** Id of a tuning; null: its own. */
  readonly tuning: string | null
  /** Whole semitones that every string moves, on top of the tuning. */
  readonly semitones: number
}

export const noChanges: Changes = { gauges: null, tuning: null, semitones: 0 }

export const isChanged = ({ gauges, tuning, semitones }: Changes): boolean =>
  gauges !== null || tuning !== null || semitones !== 0

/** @throws Problem when that cannot be: a note out of range, a tuning for another number of strings. */
export function changed(instrument: Instrument, { gauges, tuning, semitones }: Changes): Instrument {
  const strung = gauges === null ? instrument : withGauges(instrument, gauges)
  const tuned = tuning === null ? strung : withTuning(strung, tuning)
  return parseInstrument(semitones === 0 ? tuned : transposed(tuned, semitones))
}

/** The instrument, or the sentence that says why there is none. */
export function attempt(make: () => Instrument): { instrument: Instrument } | { problem: string } {
  try {
    return { instrument: make() }
  } catch (cause) {
    if (cause instanceof Problem) return { problem: cause.sentence }
    throw cause
  }
}

export const stringCount = ({ tuning }: Instrument): number => tuningNotes(tuning).length

export const gaugesOf = (gauges: string | Gauges): Gauges =>
  typeof gauges === 'string' ? gaugeSetById(gauges) : gauges

/** Sets that would fit: as many strings, and wire for wire or nylon for nylon. */
export function fittingSets(instrument: Instrument): readonly GaugeSet[] {
  const { materials } = gaugesOf(instrument.gauges)
  const count = stringCount(instrument)
  return gaugeSets.filter((set) => set.strings.length === count && set.materials.plain === materials.plain)
}

export const fittingTunings = (count: number): readonly Tuning[] =>
  tunings.filter(({ notes }) => notes.length === count)

const thousandths = ({ diameterIn }: Gauge): string => `${Number((1000 * diameterIn).toFixed(1))}`

/** "10–46": thinnest and thickest string in thousandths of an inch, as the trade names a set. */
export function gaugesWord(gauges: string | Gauges): string {
  const byDiameter = [...gaugesOf(gauges).strings].sort((a, b) => a.diameterIn - b.diameterIn)
  const [thin, thick] = [byDiameter[0], byDiameter.at(-1)]
  if (thin === undefined || thick === undefined) return 'no strings'
  const ends = thin === thick ? thousandths(thin) : `${thousandths(thin)}–${thousandths(thick)}`
  return typeof gauges === 'string' ? ends : `own ${ends}`
}

/** "Drop D", or the notes, lowest-numbered string last: "E2 A2 D3 G3 B3 E4". */
export const tuningWord = (tuning: string | readonly string[]): string =>
  typeof tuning === 'string' ? tuningById(tuning).title : [...tuning].reverse().join(' ')

const steps: Readonly<Record<string, string>> = {
  '-2': 'a whole step down',
  '-1': 'half a step down',
  '1': 'half a step up',
  '2': 'a whole step up',
}

export const stepWord = (semitones: number): string =>
  steps[semitones] ?? `${Math.abs(semitones)} half steps ${semitones < 0 ? 'down' : 'up'}`

/** "12–53, half a step down": what is changed, and only that. */
export function changesWord({ gauges, tuning, semitones }: Changes): string {
  return [
    ...(gauges === null ? [] : [gaugesWord(gauges)]),
    ...(tuning === null ? [] : [tuningWord(tuning)]),
    ...(semitones === 0 ? [] : [stepWord(semitones)]),
  ].join(', ')
}
