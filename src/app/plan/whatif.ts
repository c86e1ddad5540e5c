/**
 * The questions behind "what if": each turns what the planner is asked into something else, or says why it cannot be answered from
 * what was recorded. Several at once are laid over each other.
 */
import { fill } from '../../core/fields.ts'
import { type Hand, handFields } from '../../core/plan/hand.ts'
import type { PlanRecords } from '../../core/plan/records.ts'
import type { Request } from './choices.ts'

export const whatIfIds = ['no-second-pass', 'quieter', 'slower-hand', 'other-bridge', 'slow-display'] as const
export type WhatIfId = (typeof whatIfIds)[number]

export const quieterDb = 5
/** Half as long again for every move: a cold hand in the dark (assumption). */
const slowerBy = 1.5

export function whatIfWords(id: WhatIfId, { bridge }: Pick<Request, 'bridge'>): string {
  switch (id) {
    case 'no-second-pass':
      return 'no second pass'
    case 'quieter':
      return `${quieterDb} dB less noise`
    case 'slower-hand':
      return 'a slower hand'
    case 'other-bridge':
      return bridge === 'fixed' ? 'a floating bridge' : 'a fixed bridge'
    case 'slow-display':
      return 'slower displays'
  }
}

/** Places of the records' methods: as chosen, and behind a slow display. Recorded together, the chosen ones first. */
export interface Heard {
  readonly chosen: readonly number[]
  /** Same order as `chosen`, fewer where one stands behind a display already; [] where none was recorded. */
  readonly slow: readonly number[]
}

/** Why it cannot be answered; null: it can. */
export function whatIfProblem(id: WhatIfId, request: Request, { snrsDb }: Pick<PlanRecords, 'snrsDb'>, heard: Heard) {
  const highest = snrsDb[snrsDb.length - 1] ?? Number.NaN
  if (id === 'quieter' && request.snrDb + quieterDb > highest) {
    return `recorded up to ${highest} dB only: record ${request.snrDb + quieterDb} dB too`
  }
  if (id === 'slow-display' && heard.slow.length === 0) return 'no slow display was recorded: see Records'
  if (id === 'no-second-pass' && request.work.morePasses === 0) return 'there is none in the plan'
  return null
}

/** `request` with all of `ids` that can be answered, and which methods it may use. */
export function withWhatIfs(
  ids: readonly WhatIfId[],
  request: Request,
  records: Pick<PlanRecords, 'snrsDb'>,
  heard: Heard,
): { request: Request; methods: readonly number[]; asked: readonly WhatIfId[] } {
  const asked = whatIfIds.filter((id) => ids.includes(id) && whatIfProblem(id, request, records, heard) === null)
  let changed = request
  for (const id of asked) changed = changedBy(id, changed)
  return { request: changed, methods: asked.includes('slow-display') ? heard.slow : heard.chosen, asked }
}

function changedBy(id: WhatIfId, request: Request): Request {
  switch (id) {
    case 'no-second-pass':
      return { ...request, work: { ...request.work, morePasses: 0 } }
    case 'quieter':
      return { ...request, snrDb: request.snrDb + quieterDb }
    case 'slower-hand':
      return { ...request, hand: slower(request.hand) }
    case 'other-bridge':
      return { ...request, bridge: request.bridge === 'fixed' ? 'floating' : 'fixed' }
    case 'slow-display':
      // It changes which methods may be used.
      return request
  }
}

/** As far as the limits of a hand go. */
function slower(hand: Hand): Hand {
  const longer = (name: 'pluckS' | 'reactionS' | 'turnStartS'): number =>
    Math.min(handFields[name].max, slowerBy * hand[name])
  return fill(handFields, {
    ...hand,
    ...{ pluckS: longer('pluckS'), reactionS: longer('reactionS'), turnStartS: longer('turnStartS') },
    turnDegPerS: Math.max(handFields.turnDegPerS.min, hand.turnDegPerS / slowerBy),
  })
}
