/** The noise take becomes a room on the Bench page: the strings of the instrument in it, at the ratios that were measured. */
import type { StudyString } from '../../core/study/study.ts'
import { asRoom } from '../choices/recorded.ts'
import { currentRoute, routeHash, visit } from '../router.ts'
import { addPicked } from '../run/recordings.ts'
import { openStudy, run } from '../run/session.ts'
import { useBench } from '../store.ts'
import { closeInput } from './session.ts'
import { takeById } from './takes.ts'

/** A sentence where it could not be done; null: the Bench is open and computes. */
export async function benchWithTake(
  takeId: string,
  strings: readonly StudyString[],
  ratiosDb: readonly number[],
): Promise<string | null> {
  const take = await takeById(takeId)
  const noise = take?.head.parts.find(({ name }) => name === 'noise')
  const samples = take?.samples.get(noise?.name ?? '')
  if (take === null || samples === undefined) return 'The noise of this take is gone from the browser.'
  const { title, sampleRateHz, madeAt } = take.head
  const unknown = Number.NaN
  const recording = { id: `room-${takeId}`, sampleRateHz, samples, onsetS: unknown, f1Hz: unknown }
  const kept = { recording, title: `${title}, ${madeAt.slice(11, 16)}`, use: 'noise' as const, targetHz: unknown }
  await addPicked(kept)
  // The Bench does not compute while the input is heard.
  await closeInput()
  const room = asRoom({ id: recording.id, title: kept.title, use: 'noise', targetHz: unknown, picked: true })
  await openStudy({
    ...useBench.getState().study,
    id: 'own',
    strings,
    rooms: [room],
    snrsDb: spread(ratiosDb),
  })
  visit(routeHash('', currentRoute().query))
  void run()
  return null
}

/** Beyond what was measured, so that it is seen how much there is to spare. */
const beyondDb = 6
const mostDb = 60

/** 6 dB under the weakest, the middle, 6 dB over the strongest, in whole dB; about 0 where nothing was measured. */
function spread(ratiosDb: readonly number[]): readonly number[] {
  const sorted = ratiosDb.length === 0 ? [0] : [...ratiosDb].sort((a, b) => a - b)
  const [lowest, middle, highest] = [sorted[0], sorted[sorted.length >> 1], sorted[sorted.length - 1]]
  const wanted = [lowest - beyondDb, middle, highest + beyondDb]
  return [...new Set(wanted.map((ratioDb) => Math.max(-mostDb, Math.min(mostDb, Math.round(ratioDb)))))]
}
