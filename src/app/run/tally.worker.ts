/** Keeps the outcomes of one run and sums them up, or compares methods, when asked. */
import { methodById } from '../../core/methods/index.ts'
import { type PairedDifference, pairedDifferences, placesOf } from '../../core/score/paired.ts'
import { type Cell, figuresOf, summarise } from '../../core/score/summary.ts'
import type { Header } from '../../core/study/record.ts'
import type { Outcome, Study } from '../../core/study/study.ts'
import { methodIdOf, named, namesOf } from './names.ts'
import { allStrings, type FromTally, isRight, type PairQuestion, type Ranking, type ToTally } from './tally.ts'

let header: Header | null = null
/** The study and its outcomes, each method under its name: two displays of one method are two lines. */
let lines: Study | null = null
let name: ReturnType<typeof named> = (outcome) => outcome
const outcomes = new Map<string, Outcome>()

self.onmessage = ({ data }: MessageEvent<ToTally>): void => {
  const answer = answerTo(data)
  if (answer !== null) self.postMessage(answer)
}

function answerTo(message: ToTally): FromTally | null {
  switch (message.kind) {
    case 'begin':
      header = message.header
      lines = { ...header.study, methods: namesOf(header.study).map((id) => ({ id, values: {} })) }
      name = named(header.study.methods)
      outcomes.clear()
      return null
    case 'add':
      for (const outcome of message.outcomes.map(name)) {
        outcomes.set(`${outcome.trial.index} ${outcome.method.id}`, outcome)
      }
      return null
    case 'sum': {
      if (header === null) return null
      const list = [...outcomes.values()].sort((a, b) => a.trial.index - b.trial.index)
      const results = {
        summary: summarise(header, list),
        pooled: pooled(header, list),
        rankings: lines === null ? [] : rankings(lines, list),
      }
      return { kind: 'summed', ticket: message.ticket, results }
    }
    case 'pair':
      return { kind: 'paired', ticket: message.ticket, differences: compared(message.question) }
  }
}

function pooled(whole: Header, list: readonly Outcome[]): readonly Cell[] {
  if (whole.study.strings.length < 2) return []
  return [...grouped(list, ({ trial, method }) => `${trial.room}|${trial.snrDb}|${method.id}`).values()].map(
    (group) => {
      const { trial, method } = group[0] as Outcome
      const where = { string: allStrings, room: trial.room, snrDb: trial.snrDb, method: method.id }
      return { ...where, ...figuresOf(group, whole.seed, Object.values(where)) }
    },
  )
}

function rankings(study: Study, list: readonly Outcome[]): readonly Ranking[] {
  const families = (['aimed', 'blind'] as const).map((family) => ({
    family,
    ids: study.methods.map(({ id }) => id).filter((id) => methodById(methodIdOf(id)).family === family),
  }))
  const columns = [
    ...grouped(list, ({ trial }) => JSON.stringify([trial.string, trial.room])),
    ...(study.strings.length < 2 ? [] : grouped(list, ({ trial }) => JSON.stringify([allStrings, trial.room]))),
  ]
  return columns.flatMap(([name, own]) => {
    const [string, room] = JSON.parse(name) as [string, string]
    const variant = study.rooms.find(({ id }) => id === room)?.variant ?? 'string'
    return families
      .filter(({ ids }) => ids.length > 0)
      .map(({ family, ids }) => {
        const places = placesOf(own, ids, ({ score }) => isRight(score.claim, variant, family))
        return { string, room, family, places }
      })
  })
}

function compared({ string, room, snrDb, reference, figure }: PairQuestion): readonly PairedDifference[] {
  if (header === null || lines === null) return []
  const { seed } = header
  const study = lines
  return pairedDifferences({
    outcomes: [...outcomes.values()].filter(
      ({ trial }) =>
        trial.room === room &&
        (string === allStrings || trial.string === string) &&
        (snrDb === null || trial.snrDb === snrDb),
    ),
    reference,
    others: study.methods.map(({ id }) => id),
    figure,
    heardS: study.takeS - study.leadS,
    seed,
  })
}

function grouped(list: readonly Outcome[], nameOf: (outcome: Outcome) => string): Map<string, Outcome[]> {
  const groups = new Map<string, Outcome[]>()
  for (const outcome of list) {
    const name = nameOf(outcome)
    const group = groups.get(name)
    if (group === undefined) groups.set(name, [outcome])
    else group.push(outcome)
  }
  return groups
}
