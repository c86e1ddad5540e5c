/** Records for plan tests, made by rule rather than recorded: what every cell holds is written down where it is used. */
import { randomStream } from '../../src/core/maths/random.ts'
import type { Hand, Work } from '../../src/core/plan/hand.ts'
import { defaultHand, defaultWork } from '../../src/core/plan/hand.ts'
import type { PlanRecords, PlanString } from '../../src/core/plan/records.ts'

/** Cents a degree of a 16:1 peg with a 6 mm post: about those of a set of 10 to 46. */
const centsPerDegree = [1.55, 1.42, 1.19, 1.5, 0.94, 0.52]
const stiffness = [34, 34, 34, 24, 16, 11]
const tension = [78, 88, 82, 74, 68, 72]

export const sixStrings: readonly PlanString[] = centsPerDegree.map((value, i) => ({
  id: `s${i + 1}`,
  title: `string ${i + 1}`,
  targetHz: 82.4 * 2 ** ((5 * i) / 12),
  centsPerDegree: value,
  stiffnessNPerMm: stiffness[i],
  tensionN: tension[i],
}))

export interface MadeMethod {
  readonly id?: string
  readonly lockS: number
  /** Standard deviation of its errors, and their mean, cents. */
  readonly sdCents?: number
  readonly meanCents?: number
  /** Share of plucks that never settle. */
  readonly never?: number
}

export function madeRecords(
  made: readonly MadeMethod[],
  { n = 60, snrsDb = [10], unseen = false, strings = sixStrings, seed = 1 } = {},
): PlanRecords {
  const means = Float64Array.from({ length: made.length * n }, (_, at) => made[Math.floor(at / n)].meanCents ?? 0)
  const cells = strings.map((_, string) =>
    snrsDb.map((snrDb) => {
      const lockS = new Float64Array(made.length * n)
      const errorCents = new Float64Array(made.length * n)
      const usualCents = new Float64Array(made.length * n)
      const noise = new Float64Array(made.length * n)
      for (const [
        method,
        { id = `${method}`, lockS: usual, sdCents = 0, meanCents = 0, never = 0 },
      ] of made.entries()) {
        const random = randomStream(seed, id, string, snrDb)
        usualCents.fill(meanCents, method * n, (method + 1) * n)
        for (let trial = 0; trial < n; trial++) {
          const lost = random.uniform() < never
          lockS[method * n + trial] = lost ? Number.NaN : usual
          noise[method * n + trial] = lost ? Number.NaN : sdCents * random.gaussian()
          errorCents[method * n + trial] = meanCents + noise[method * n + trial]
        }
      }
      return {
        ...{ snrDb, n, lockS, errorCents, usualCents, noise },
        detuneCents: new Float64Array(n),
        harderDb: new Float64Array(n),
        // Every pluck is one of a string of its own.
        ofString: Uint32Array.from({ length: n }, (_, trial) => trial),
        spreadCents: new Float64Array(made.length * n).fill(1),
        own: new Float64Array(made.length * n),
        wide: new Float64Array(made.length * n).fill(1),
      }
    }),
  )
  return {
    ...{ room: 'made', strings, snrsDb, cells, unseen },
    offsetsCents: strings.map(() => means),
    methods: made.map(({ id }, method) => ({ id: id ?? `${method}` })),
    // Longer than any time-out here: that alone decides.
    waitedS: 10,
  }
}

/** Turns what was meant, exactly, and lets no string go past. */
export const perfectHand: Hand = { ...defaultHand, turnGainSd: 0, pegStepDeg: 0, undershootCents: 0, backlashDeg: 0 }
/** Strings that leave each other alone, plucked alike. */
export const plainWork: Work = { ...defaultWork, coupling: 0, unevenDb: 0 }
