/**
 * The structure of JSON input, checked by zod; what is wrong becomes one Problem with the path of the first value.
 */
import type { z } from 'zod'
import { Problem } from './problem.ts'

/** `json` in the shape of `schema`. @throws Problem naming the path. */
export function shaped<T>(schema: z.ZodType<T>, json: unknown): T {
  const result = schema.safeParse(json)
  if (result.success) return result.data
  const issue = deepest(result.error.issues)
  throw new Problem(issue === undefined ? 'is not understood' : sentence(issue), issue?.path.join('.') ?? '')
}

/** In a choice of shapes the one that got furthest is most likely meant. */
function deepest(issues: readonly z.core.$ZodIssue[], path: PropertyKey[] = []): z.core.$ZodIssue | undefined {
  const first = issues[0]
  if (first === undefined) return undefined
  const here = [...path, ...first.path]
  if (first.code !== 'invalid_union') return { ...first, path: here }
  const inner = first.errors.map((branch) => deepest(branch, here)).filter((issue) => issue !== undefined)
  return inner.sort((a, b) => b.path.length - a.path.length || weight(b) - weight(a))[0] ?? { ...first, path: here }
}

/** A wrong key inside the right kind of value tells more than a wrong kind. */
const weight = (issue: z.core.$ZodIssue): number => (issue.code === 'invalid_type' ? 0 : 1)

function sentence(issue: z.core.$ZodIssue): string {
  switch (issue.code) {
    case 'unrecognized_keys':
      return `no such setting: ${issue.keys.join(', ')}`
    case 'invalid_type':
      return issue.message.includes('received undefined')
        ? `is missing (${issue.expected})`
        : `is not of type ${issue.expected}`
    case 'too_small':
      return `needs at least ${issue.minimum}`
    case 'too_big':
      return `takes at most ${issue.maximum}`
    default:
      return issue.message
  }
}
