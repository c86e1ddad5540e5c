/**
 * Recordings a study may sound: those shipped with the page, and WAV files a person picked. Fetched only when a study
 * needs them. A picked file lives in this browser alone: a link carries its name, not its sound.
 */
import index from '../../../signals/recordings/index.json'
import { hzFromNote } from '../../core/maths/units.ts'
import { Problem } from '../../core/problem.ts'
import { recordingFromWav } from '../../core/scene/recording.ts'
import type { Recording, Recordings } from '../../core/scene/scene.ts'
import type { Study } from '../../core/study/study.ts'
import { type KeptRecording, keepRecording, keptRecordings } from './keep.ts'

const files = import.meta.glob<string>('../../../signals/recordings/*.wav', {
  query: '?url',
  import: 'default',
  eager: true,
})

export interface Listed {
  readonly id: string
  readonly title: string
  readonly use: 'string' | 'noise'
  /** Nominal pitch, Hz; NaN for noises. */
  readonly targetHz: number
  readonly picked: boolean
}

export const shipped: readonly Listed[] = index.recordings.map((entry) => ({
  id: entry.id,
  title: entry.title,
  use: entry.kind === 'string' ? 'string' : 'noise',
  targetHz: 'note' in entry && typeof entry.note === 'string' ? hzFromNote(entry.note) : Number.NaN,
  picked: false,
}))

const loaded = new Map<string, Recording>()
const picked = new Map<string, KeptRecording>()
let restored: Promise<void> | undefined

/** Brings back what was picked on earlier visits. */
export function restorePicked(): Promise<void> {
  restored ??= keptRecordings().then((list) => {
    for (const kept of list) picked.set(kept.recording.id, kept)
  })
  return restored
}

export function pickedRecordings(): readonly Listed[] {
  return [...picked.values()].map(({ recording, title, use, targetHz }) => ({
    id: recording.id,
    title,
    use,
    targetHz,
    picked: true,
  }))
}

/** false: usable until the page closes, but the browser would not keep it. */
export function addPicked(kept: KeptRecording): Promise<boolean> {
  picked.set(kept.recording.id, kept)
  return keepRecording(kept)
}

/** @throws Problem when a recording is nowhere to be found. */
export async function recordingsOf(study: Study): Promise<Recordings> {
  await restorePicked()
  const ids = new Set([
    ...study.strings.flatMap((string) => string.recording ?? []),
    ...study.rooms.flatMap((room) => room.parts.flatMap((part) => part.recording ?? [])),
  ])
  return new Map(await Promise.all([...ids].map(async (id) => [id, await load(id)] as const)))
}

async function load(id: string): Promise<Recording> {
  const known = picked.get(id)?.recording ?? loaded.get(id)
  if (known !== undefined) return known
  const entry = index.recordings.find((one) => one.id === id)
  const url = entry === undefined ? undefined : files[`../../../signals/recordings/${entry.file}`]
  if (entry === undefined || url === undefined) {
    throw new Problem('this browser has no such recording; pick the file again', id)
  }
  const answer = await fetch(url)
  if (!answer.ok) throw new Problem(`could not be read (${answer.status})`, id)
  const recording = recordingFromWav(id, new Uint8Array(await answer.arrayBuffer()), {
    onsetS: 'onsetS' in entry && typeof entry.onsetS === 'number' ? entry.onsetS : Number.NaN,
    f1Hz: 'f1Hz' in entry && typeof entry.f1Hz === 'number' ? entry.f1Hz : Number.NaN,
  })
  loaded.set(id, recording)
  return recording
}
