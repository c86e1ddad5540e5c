/**
 * A room take as it is kept and saved: the noise of damped strings, then plucks of one instrument's strings, all through one
 * input. The head is JSON; each part's samples stand beside it, named by their SHA-256.
 *
 * What was concluded from a take is not kept: it is computed again from the samples, by the code that shows it.
 */
import { z } from 'zod'
import { Problem } from '../../core/problem.ts'
import { shaped } from '../../core/shape.ts'

/** Rates that every arrow of the bench takes. */
const lowestRateHz = 8000
const highestRateHz = 192000
/** A minute holds any part that the guided take asks for; more is another kind of file. */
const mostPartS = 60

const partShape = z.strictObject({
  name: z.string().regex(/^[a-z0-9]+(-[a-z0-9]+)*$/, 'takes small letters, digits and single hyphens'),
  kind: z.enum(['noise', 'pluck']),
  string: z.string().nullable(),
  targetHz: z.number().positive().nullable(),
  samples: z.number().int().positive(),
  startSample: z.number().int().nonnegative(),
  lostSamples: z.number().int().nonnegative(),
  overloaded: z.boolean(),
  sha256: z.string().regex(/^([0-9a-f]{64})?$/, 'is no SHA-256'),
})

const headShape = z.strictObject({
  schema: z.literal(1),
  id: z.string().regex(/^[a-z0-9]+(-[a-z0-9]+)*$/, 'takes small letters, digits and single hyphens'),
  title: z.string(),
  madeAt: z.string(),
  sampleRateHz: z.number().int().min(lowestRateHz).max(highestRateHz),
  instrument: z.string(),
  path: z.string(),
  processed: z.enum(['no', 'yes', 'unknown']),
  madeUp: z.boolean(),
  version: z.string(),
  parts: z.array(partShape),
})

/**
 * One part. `name` is unique in its take and names its file. `startSample` counts from the first sample the input gave;
 * `lostSamples` above 0: the part is broken and is not scored. `sha256` of the little-endian float32 samples; '' where the
 * browser cannot tell (a page that is not served securely).
 */
export type TakePart = z.infer<typeof partShape>

/**
 * `path` is the person's word for what was listened through ("pickup", "microphone by the ring"). `processed`: whether the
 * browser may have changed the sound. `madeUp`: rendered, not captured. `version` of the page that kept it.
 */
export type TakeHead = z.infer<typeof headShape>

export interface RoomTake {
  readonly head: TakeHead
  /** By the part's name. A part may be missing here when the browser lost it; its entry in the head tells. */
  readonly samples: ReadonlyMap<string, Float32Array>
}

/** @throws Problem naming the field. */
export function parseTakeHead(json: unknown): TakeHead {
  const head = shaped(headShape, json)
  const names = new Set<string>()
  for (const [at, { name, kind, string, samples }] of head.parts.entries()) {
    const where = `parts.${at}`
    if (names.has(name)) throw new Problem(`"${name}" names two parts`, `${where}.name`)
    names.add(name)
    if ((kind === 'pluck') !== (string !== null)) {
      throw new Problem(kind === 'pluck' ? 'a pluck names its string' : 'noise has no string', `${where}.string`)
    }
    const durationS = samples / head.sampleRateHz
    if (durationS > mostPartS)
      throw new Problem(`${durationS.toFixed(1)} s is above ${mostPartS} s`, `${where}.samples`)
  }
  return head
}

/** Hex, of the samples as they stand in memory; '' where the browser has no hash for pages like this one. */
export async function sha256(samples: Float32Array): Promise<string> {
  if (globalThis.crypto?.subtle === undefined) return ''
  const digest = await crypto.subtle.digest('SHA-256', Float32Array.from(samples))
  return [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, '0')).join('')
}
