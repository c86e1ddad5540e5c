/** Keeps the outcomes of one run and sums them up when asked. */
import { type Cell, figuresOf, summarise } from '../../core/score/summary.ts'
import type { Header } from '../../core/study/record.ts'
import type { Outcome } from '../../core/study/study.ts'
import { allStrings, type FromTally, type ToTally } from './tally.ts'

let header: Header | null = null
const outcomes = new Map<string, Outcome>()

self.onmessage = ({ data }: MessageEvent<ToTally>): void => {
  switch (data.kind) {
    case 'begin':
      header = data.header
      outcomes.clear()
      return
    case 'add':
      for (const outcome of data.outcomes) outcomes.set(`${outcome.trial.index} ${outcome.method.id}`, outcome)
      return
    case 'sum': {
      if (header === null) return
      const list = [...outcomes.values()].sort((a, b) => a.trial.index - b.trial.index)
      const answer: FromTally = {
        kind: 'summed',
        ticket: data.ticket,
        results: { summary: summarise(header, list), pooled: pooled(header, list) },
      }
      self.postMessage(answer)
    }
  }
}

function pooled(whole: Header, list: readonly Outcome[]): readonly Cell[] {
  if (whole.study.strings.length < 2) return []
  const groups = new Map<string, Outcome[]>()
  for (const outcome of list) {
    const key = `${outcome.trial.room}|${outcome.trial.snrDb}|${outcome.method.id}`
    const group = groups.get(key)
    if (group === undefined) groups.set(key, [outcome])
    else group.push(outcome)
  }
  return [...groups.values()].map((group) => {
    const { trial, method } = group[0] as Outcome
    const where = { string: allStrings, room: trial.room, snrDb: trial.snrDb, method: method.id }
    return { ...where, ...figuresOf(group, whole.seed, Object.values(where)) }
  })
}
