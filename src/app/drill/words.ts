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

/** Faults that say the same of several strings stand together, under the largest figure. */
export interface ToldFault {
  readonly fault: Fault
  readonly strings: readonly number[]
}

const toldTogether: readonly Fault['kind'][] = ['unconfirmed', 'unchecked', 'out-of-time']

export function toldFaults(faults: readonly Fault[]): readonly ToldFault[] {
  const told: ToldFault[] = []
  for (const fault of faults) {
    const at = told.findIndex((one) => one.fault.kind === fault.kind && toldTogether.includes(fault.kind))
    const known = told[at]
    if (known === undefined) told.push({ fault, strings: [fault.string] })
    else told[at] = { fault: known.fault, strings: [...known.strings, fault.string] }
  }
  return told
}

export function faultSentence({ fault, strings }: ToldFault, exercise: Exercise): string {
  const { kind, method, cents } = fault
  const titles = stringTitles(exercise)
  const title = listed(strings.map((string) => titles[string] ?? ''))
  const farOff = strings.length > 1 ? 'the worst stands that far off' : 'it stands that far off'
  const letGo = `±${exercise.methods[method]?.letGoCents} c`
  const rough = exercise.methods.length > 1 && method === 0
  switch (kind) {
    case 'lingered':
      return `Stayed ${rough ? 'rough ' : ''}on ${title} after it read inside ${letGo}.`
    case 'switched-early': {
      const handOver = exercise.methods[0]?.letGoCents ?? 0
      return `Fine on ${title} while it was ${centsWord(cents + handOver)} off; the hand-over is ±${handOver} c.`
    }
    case 'from-sharp':
      return `Came down to ${title} from sharp: go under the note, then up.`
    case 'let-go-outside':
      return `Let ${title} go while it read outside ${letGo}.`
    case 'unconfirmed':
      return `Left ${title} without a reading that confirms ${strings.length > 1 ? 'them' : 'it'}: ${farOff}.`
    case 'unchecked':
      return `${title} ${strings.length > 1 ? 'were' : 'was'} not plucked once more to check.`
    case 'out-of-time':
      return `The clock stopped before ${title} ${strings.length > 1 ? 'were' : 'was'} done: ${farOff}.`
  }
}

const listed = (words: readonly string[]): string =>
  words.length < 2 ? (words[0] ?? '') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`

export function verdictWords({ lostS, lostCents }: DrillScore): string {
  if (lostS < 0.05 && lostCents < 0.05) return 'As soon and as close as the best way on this seed'
  const seconds = lostS < 0.05 ? '' : secondsWord(lostS)
  const cents = lostCents < 0.05 ? '' : centsWord(lostCents)
  return `${[seconds, cents].filter((word) => word !== '').join(' and ')} behind the best way on this seed`
}
