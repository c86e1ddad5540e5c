/**
 * What the hand alone takes and leaves: the same work with a detector that is right at once, every time. No method can do better.
 */
import type { PlanRecords } from './records.ts'

/** Records of one method that locks at 0 s without error. */
export function perfectRecords({ room, strings, snrsDb, waitedS }: PlanRecords): PlanRecords {
  const cell = (snrDb: number) => ({
    snrDb,
    n: 1,
    detuneCents: new Float64Array(1),
    harderDb: new Float64Array(1),
    ofString: new Uint32Array(1),
    lockS: new Float64Array(1),
    errorCents: new Float64Array(1),
    usualCents: new Float64Array(1),
    spreadCents: new Float64Array(1),
    noise: new Float64Array(1),
    own: new Float64Array(1),
    wide: new Float64Array(1).fill(1),
  })
  return {
    ...{ room, strings, snrsDb, waitedS, unseen: false },
    methods: [{ id: 'perfect' }],
    cells: strings.map(() => snrsDb.map(cell)),
    offsetsCents: strings.map(() => new Float64Array(1)),
  }
}
