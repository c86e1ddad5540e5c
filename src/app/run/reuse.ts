/**
 * Which outcomes of one study also belong to another. Random streams are seeded by study seed, cell and repeat, never by
 * the lists a cell stands in, so more repeats, fewer rooms or fewer methods need no trial to be run twice.
 */
import { trialCount } from '../../core/study/record.ts'
import { referenceOf } from '../../core/study/stage.ts'
import type { MethodChoice, Outcome, Study, Trial } from '../../core/study/study.ts'
import { trialAt } from '../../core/study/trial.ts'

/** Repeats run everywhere in turn, so that every cell appears early and then narrows. */
export function orderedTrials(study: Study, done: ReadonlyMap<number, unknown>): number[] {
  const indexes = Array.from({ length: trialCount(study) }, (_, index) => index)
  return indexes.filter((index) => !done.has(index)).sort((a, b) => (a % study.repeats) - (b % study.repeats) || a - b)
}

/** By trial index of `study`; only trials that hold every method of `study`. */
export function reusable(
  study: Study,
  old: Study,
  outcomes: ReadonlyMap<number, readonly Outcome[]>,
): Map<number, readonly Outcome[]> {
  const found = new Map<number, readonly Outcome[]>()
  if (frame(study) !== frame(old)) return found
  const same = <T extends { readonly id: string }>(now: readonly T[], then: readonly T[]): Set<string> =>
    new Set(now.filter((a) => then.some((b) => equal(a, b))).map((a) => a.id))
  const heard = (method: MethodChoice): boolean => old.methods.some((before) => equal(before, method))
  const strings = same(study.strings, old.strings)
  const rooms = same(study.rooms, old.rooms)
  if (!study.methods.every(heard)) return found
  const byName = new Map([...outcomes].map(([index, list]) => [nameOf(trialAt(old, index)), list]))
  for (let index = 0; index < trialCount(study); index += 1) {
    const trial = trialAt(study, index)
    const list = byName.get(nameOf(trial))
    if (list === undefined || !strings.has(trial.string) || !rooms.has(trial.room)) continue
    const kept = study.methods.map((method) => list.find((outcome) => equal(outcome.method, method)))
    if (kept.every((outcome) => outcome !== undefined && outcome.state === 'scored')) {
      found.set(
        index,
        kept.map((outcome) => ({ ...(outcome as Outcome), trial })),
      )
    }
  }
  return found
}

const equal = (a: unknown, b: unknown): boolean => JSON.stringify(a) === JSON.stringify(b)

const nameOf = (trial: Trial): string => `${trial.string}|${trial.room}|${trial.snrDb}|${trial.repeat}`

/** Everything of a study that every trial depends on. */
const frame = (study: Study): string =>
  JSON.stringify([
    study.seed,
    study.sampleRateHz,
    study.takeS,
    study.leadS,
    study.detuneCents,
    study.farDetuneCents ?? null,
    study.unevenDb ?? null,
    study.learntStretches ?? 1,
    // The twins of such plucks are heard at the lowest ratio.
    study.plucksAString === undefined ? null : [study.plucksAString, Math.min(...study.snrsDb)],
    study.claim,
    study.roomLearnt,
    study.lowestHz,
    study.highestHz,
    study.level === 'stage' ? referenceOf(study) : null,
  ])
