/**
 * What a person did in a drill and when, as data: enough, with the exercise and its seed, to go through it again. What the methods
 * claimed stands in it too, so nothing has to be listened to anew.
 */
import { z } from 'zod'
import { Problem } from '../problem.ts'
import { shaped } from '../shape.ts'

const atS = z.number().min(0)
const string = z.number().int().min(0)

const actionShape = z.discriminatedUnion('kind', [
  /** The string is in hand from then on, all others are muted. */
  z.strictObject({ kind: z.literal('pluck'), atS, string }),
  /** What the button did, degrees; up is positive. */
  z.strictObject({ kind: z.literal('turn'), atS, string, degrees: z.number() }),
  z.strictObject({ kind: z.literal('method'), atS, method: z.number().int().min(0) }),
  /** A settled reading of the string in hand: cents off its note. */
  z.strictObject({ kind: z.literal('claim'), atS, string, method: z.number().int().min(0), cents: z.number() }),
  z.strictObject({ kind: z.literal('let-go'), atS, string }),
  /** The next instrument is taken; there is no way back. */
  z.strictObject({ kind: z.literal('change'), atS }),
  z.strictObject({ kind: z.literal('finish'), atS }),
])

/** `atS`: seconds since the work began. Strings and methods by place in the exercise. */
export type Action = z.infer<typeof actionShape>
export type Log = readonly Action[]

/** Parts of one movement of the hand are told as one turn: shorter than a person can turn back and forth. */
const oneMoveS = 0.1

/** The log with one more action. Turns of one movement, all the same way, become one. */
export function appended(log: Log, action: Action): Log {
  const last = log.at(-1)
  if (
    action.kind === 'turn' &&
    last?.kind === 'turn' &&
    last.string === action.string &&
    last.degrees * action.degrees > 0 &&
    action.atS - last.atS < oneMoveS
  ) {
    return [...log.slice(0, -1), { ...last, degrees: last.degrees + action.degrees }]
  }
  return [...log, action]
}

/** Seconds from the beginning to the finish; NaN: it is not finished. */
export function finishS(log: Log): number {
  const last = log.at(-1)
  return last?.kind === 'finish' ? last.atS : Number.NaN
}

/** @throws Problem for what is no log, or one whose times run backwards. */
export function parseLog(json: unknown): Log {
  const log = shaped(z.array(actionShape), json)
  const back = log.findIndex((action, at) => at > 0 && action.atS < log[at - 1].atS)
  if (back > 0) throw new Problem(`${log[back].atS} s comes after ${log[back - 1].atS} s`, `${back}.atS`)
  return log
}
