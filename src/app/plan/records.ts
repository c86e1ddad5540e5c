/**
 * Records for the planner out of what was run so far: repeats run everywhere in turn, so a plan can stand on the first few of every
 * cell long before the study is done. And the same records with some of their methods only.
 */
import type { Instrument } from '../../core/instruments/instrument.ts'
import { recordsOf } from '../../core/plan/fromrun.ts'
import type { PlanRecords } from '../../core/plan/records.ts'
import { headerOf, trialCount } from '../../core/study/record.ts'
import type { Outcome, Study } from '../../core/study/study.ts'
import type { Heard } from './whatif.ts'

/** Two strings: less is no plan at all. */
export const fewestRepeats = 2

/** Whole repeats that are there in every cell. */
export function repeatsDone(study: Study, outcomes: ReadonlyMap<number, unknown>): number {
  const cells = trialCount(study) / study.repeats
  let least = study.repeats
  for (let cell = 0; cell < cells; cell += 1) {
    let done = 0
    while (done < least && outcomes.has(cell * study.repeats + done)) done += 1
    least = done
  }
  return least
}

/** null: fewer than the fewest repeats are there. @throws Problem as `recordsOf`. */
export function recordsSoFar(
  study: Study,
  outcomes: ReadonlyMap<number, readonly Outcome[]>,
  instrument: Instrument,
): PlanRecords | null {
  const repeats = repeatsDone(study, outcomes)
  if (repeats < Math.min(fewestRepeats, study.repeats)) return null
  const part = { ...study, repeats }
  const flat = Array.from({ length: trialCount(part) }, (_, index) => {
    const whole = Math.floor(index / repeats) * study.repeats + (index % repeats)
    return outcomes.get(whole) ?? []
  }).flat()
  return recordsOf(headerOf(part, '', ''), flat, instrument, study.rooms[0]?.id ?? '')
}

/** The records of some methods, in the order given. */
export function withMethods(records: PlanRecords, places: readonly number[]): PlanRecords {
  const picked = (values: Float64Array, n: number): Float64Array => {
    const found = new Float64Array(places.length * n)
    for (const [at, place] of places.entries()) found.set(values.subarray(place * n, (place + 1) * n), at * n)
    return found
  }
  const ofStrings = (values: Float64Array): Float64Array => picked(values, values.length / records.methods.length)
  return {
    ...records,
    methods: places.flatMap((place) => records.methods[place] ?? []),
    cells: records.cells.map((cells) =>
      cells.map((cell) => ({
        ...cell,
        lockS: picked(cell.lockS, cell.n),
        errorCents: picked(cell.errorCents, cell.n),
        usualCents: picked(cell.usualCents, cell.n),
        spreadCents: picked(cell.spreadCents, cell.n),
        noise: picked(cell.noise, cell.n),
        own: ofStrings(cell.own),
        wide: ofStrings(cell.wide),
      })),
    ),
    offsetsCents: records.offsetsCents.map(ofStrings),
  }
}

/**
 * Which of a study's methods a plan may use: all without their slow twins. A twin is behind a display of `slowMs` or more and stands
 * without one in the same study; methods that stand behind a display only are a person's own choice.
 */
export function heardIn({ methods }: Pick<Study, 'methods'>, chosen: number): Heard {
  const places = methods.map((_, place) => place)
  if (chosen === methods.length) return { chosen: places, slow: [] }
  // What stood behind a display from the start stays as it is, its twins take the others' places.
  const displayed = places.slice(0, chosen).filter((place) => methods[place]?.display !== undefined)
  return { chosen: places.slice(0, chosen), slow: [...displayed, ...places.slice(chosen)] }
}

/** Plucks of the cell that has fewest. */
export const fewestIn = ({ cells }: PlanRecords): number => Math.min(...cells.flat().map(({ n }) => n))
