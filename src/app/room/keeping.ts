/** Which take a part of the Room page goes to, under which name, with what is known of it. */
import type { Broken } from '../../core/room/guide.ts'
import { partFaults } from '../../core/room/partfaults.ts'
import type { RoomString } from '../../core/room/roomstring.ts'
import { type KeepWish, type KeptPart, noiseTakeS } from '../../core/room/takekeeper.ts'
import type { AppliedSettings } from '../../host/devices.ts'
import type { Snapshot } from '../../host/livemessages.ts'
import { appVersion } from '../run/version.ts'
import type { Kept } from './keeptakes.ts'
import { type OpenInput, type RoomState, useRoom } from './roomstore.ts'
import { addPart, beginTake, useTakes } from './takes.ts'

const { getState: get, setState: set } = useRoom

/** What the hearing is asked for at this step of the guide; null: nothing. */
export function wishOf({ guide, strings, noise }: RoomState): KeepWish | null {
  if (guide.step === 'noise') return { kind: 'noise', lengthS: noiseTakeS }
  const string = strings.find(({ id }) => id === guide.asked)
  if (guide.step !== 'pluck' || string === undefined) return null
  return { kind: 'pluck', targetHz: string.targetHz, room: noise?.spectrum ?? null }
}

/** Why a part cannot be used; null: it can. */
export function brokenBy({ lostSamples, overloaded, silent, holeSamples }: KeptPart): Broken | null {
  if (lostSamples > 0) return 'lost'
  if (silent) return 'silent'
  return holeSamples > 0 ? 'lost' : overloaded ? 'overload' : null
}

/** The take under way, or a new one. */
export function takeUnderWay(input: OpenInput, instrumentTitle: string): string {
  const { takeId, path, instrument } = get()
  if (takeId !== null) return takeId
  const { rateHz, madeUp, applied } = input
  const through = madeUp ? 'made up' : path
  const { id } = beginTake({
    title: `${instrumentTitle}, ${through}`,
    sampleRateHz: rateHz,
    instrument,
    path: through,
    processed: applied === null ? 'no' : processedAs(applied),
    madeUp,
    version: appVersion,
  })
  set({ takeId: id })
  return id
}

function processedAs({ echo, noise, gain }: AppliedSettings): 'no' | 'yes' | 'unknown' {
  const all = [echo, noise, gain]
  if (all.includes('on')) return 'yes'
  return all.includes('unknown') ? 'unknown' : 'no'
}

/** A part that the guide asked for and that has no fault. `string` null: the noise. */
export function addGuided(takeId: string, string: RoomString | null, part: KeptPart): Promise<Kept> {
  const common = { startSample: part.startSample, lostSamples: 0, overloaded: false }
  if (string === null) {
    return addPart(takeId, { ...common, name: 'noise', kind: 'noise', string: null, targetHz: null }, part.samples)
  }
  const { id, targetHz } = string
  // Named by its place: ids of strings hold what file names do not.
  const name = `string-${get().strings.findIndex((one) => one.id === id) + 1}`
  return addPart(takeId, { ...common, name, kind: 'pluck', string: id, targetHz }, part.samples)
}

/** The last seconds, kept because a person said so, whatever their faults: these stand beside them. */
export async function addExtra(
  takeId: string,
  string: RoomString | null,
  snapshot: Snapshot,
  sampleRateHz: number,
): Promise<string> {
  const { samples, startSample } = snapshot
  const own = useTakes.getState().heads.find(({ id }) => id === takeId)
  const number = 1 + (own?.parts.filter(({ name }) => name.startsWith('extra-')).length ?? 0)
  const { overloaded, holeSamples } = partFaults(samples, sampleRateHz)
  const common = { name: `extra-${number}`, startSample, lostSamples: holeSamples, overloaded }
  const kept = await addPart(
    takeId,
    string === null
      ? { ...common, kind: 'noise', string: null, targetHz: null }
      : { ...common, kind: 'pluck', string: string.id, targetHz: string.targetHz },
    samples,
  )
  const seconds = (samples.length / sampleRateHz).toFixed(0)
  const faults = [...(overloaded ? ['overloaded'] : []), ...(holeSamples > 0 ? ['with holes in the sound'] : [])]
  const words = faults.length === 0 ? '' : `, ${faults.join(' and ')}`
  return kept === 'kept'
    ? `The last ${seconds} s are kept${words}.`
    : `The last ${seconds} s are in memory only${words}.`
}
