/** A study's choice of a method, opened: alone, behind its display, after the stages before it. */
import { fill, type Values } from '../fields.ts'
import { displayed } from '../methods/displayed.ts'
import { methodById } from '../methods/index.ts'
import type { Method } from '../methods/method.ts'
import type { ClaimSettings } from '../score/score.ts'
import { planAsMethod } from './chained.ts'
import type { MethodChoice } from './study.ts'

export interface OpenMethod {
  readonly choice: MethodChoice
  readonly method: Method
  readonly values: Values
}

/**
 * @param find where a method's id is looked up: a bench may measure methods that are not listed.
 * @throws Problem for unknown ids or settings.
 */
export function openMethod(
  choice: MethodChoice,
  claim: ClaimSettings,
  find: (id: string) => Method = methodById,
): OpenMethod {
  const { id, values, display, after = [] } = choice
  const seen = (known: Method, shown: MethodChoice['display']): Method =>
    shown === undefined ? known : displayed(known, shown)
  const last = seen(find(id), display)
  if (after.length === 0) return { choice, method: last, values: fill(last.fields, values, id) }
  const before = after.map((stage) => ({
    method: withDefaults(seen(find(stage.id), stage.display), fill(find(stage.id).fields, stage.values, stage.id)),
    letGoCents: stage.letGoCents,
  }))
  const method = planAsMethod(before, last, claim)
  return { choice, method, values: fill(method.fields, values, id) }
}

const withDefaults = (method: Method, values: Values): Method => ({
  ...method,
  fields: Object.fromEntries(
    Object.entries(method.fields).map(([name, field]) => [name, { ...field, default: values[name] ?? field.default }]),
  ),
})
