/** What the Drill says, in plain words. */
import type { DrillMethod, Exercise } from '../../core/drill/exercise.ts'
import type { Fault } from '../../core/drill/faults.ts'
import type { DrillScore } from '../../core/drill/score.ts'
import { drillStrings } from '../../core/drill/strings.ts'
import { methodById } from '../../core/methods/index.ts'

export const secondsWord = (value: number): string => `${value.toFixed(1)} s`
export const centsWord = (value: number): string => `${value.toFixed(value < 9.95 ? 1 : 0)} c`

/** Rough and fine where there are two, else what it is called. */
export function methodWord({ methods }: Pick<Exercise, 'methods'>, at: number): string {
  return methods.length > 1 ? (at === 0 ? 'Rough' : 'Fine') : titleOf(methods[at] as DrillMethod)
}

export const titleOf = ({ id }: Pick<DrillMethod, 'id'>): string => methodById(id).title

export const displayWords = ({ display }: DrillMethod): string =>
  display === undefined ? 'as it reads' : `averaged ${display.averagingMs} ms, ${display.updateHz} a second`

/** "A2", with the instrument's number where there are two. */
export function stringTitles(exercise: Exercise): readonly string[] {
  return drillStrings(exercise).map(({ title, set }) => (exercise.sets.length > 1 ? `${title} (${set + 1})` : title))
}

/** The figure that stands before the sentence; '' for none. */
export function faultFigure({ kind, seconds, cents }: Fault): string {
  if (kind === 'unchecked') return ''
  return seconds > 0 ? secondsWord(seconds) : centsWord(cents)
}

export function faultSentence({ kind, string, method, cents }: Fault, exercise: Exercise): string {
  const title = stringTitles(exercise)[string]
  const letGo = `±${exercise.methods[method]?.letGoCents} c`
  const rough = exercise.methods.length > 1 && method === 0
  switch (kind) {
    case 'lingered':
      return rough
        ? `Stayed rough on ${title} after it read inside ${letGo}.`
        : `Stayed on ${title} after it read inside ${letGo}.`
    case 'switched-early': {
      const handOver = exercise.methods[0]?.letGoCents ?? 0
      return `Fine on ${title} while it was ${centsWord(cents + handOver)} off; the hand-over is ±${handOver} c.`
    }
    case 'from-sharp':
      return `Came down to ${title} from sharp: go under the note, then up.`
    case 'let-go-outside':
      return `Let ${title} go while it read outside ${letGo}.`
    case 'unconfirmed':
      return `Left ${title} without a reading that confirms it: it stands that far off.`
    case 'unchecked':
      return `${title} was not plucked once more to check.`
    case 'out-of-time':
      return `The clock stopped before ${title} was done: it stands that far off.`
  }
}

export function verdictWords({ lostS, lostCents }: DrillScore): string {
  if (lostS < 0.05 && lostCents < 0.05) return 'As soon and as close as the best way on this seed'
  const seconds = lostS < 0.05 ? '' : secondsWord(lostS)
  const cents = lostCents < 0.05 ? '' : centsWord(lostCents)
  return `${[seconds, cents].filter((word) => word !== '').join(' and ')} behind the best way on this seed`
}
