/**
 * The recordings a scene or study may name: those shipped in signals/recordings by id, and any WAV file by its path.
 */
import { existsSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { Problem } from '../core/problem.ts'
import { recordingFromWav } from '../core/scene/recording.ts'
import type { Recording, Recordings, Scene } from '../core/scene/scene.ts'
import type { Study } from '../core/study/study.ts'
import { readBytes, readJson, within } from './files.ts'

/** The bundle lies two folders under the project's own. */
const folder = join(dirname(fileURLToPath(import.meta.url)), '../../signals/recordings')

interface Listed {
  readonly id: string
  readonly file: string
  readonly onsetS?: number
  readonly f1Hz?: number
}

const listed = (): readonly Listed[] =>
  readJson(join(folder, 'index.json'), (json) => (json as { recordings: Listed[] }).recordings)

/** The named recordings, read. Paths are taken from `base`. @throws Problem for an id that is neither shipped nor a file. */
export function readRecordings(names: readonly string[], base: string): Recordings {
  const recordings = new Map<string, Recording>()
  for (const name of new Set(names)) {
    const shipped = listed().find((entry) => entry.id === name)
    const path = shipped === undefined ? join(base, name) : join(folder, shipped.file)
    if (shipped === undefined && !existsSync(path)) {
      const known = listed().map((entry) => entry.id)
      throw new Problem(`no recording "${name}": neither a WAV file there nor one of ${known.join(', ')}`, 'recording')
    }
    const meta = { onsetS: shipped?.onsetS ?? Number.NaN, f1Hz: shipped?.f1Hz ?? Number.NaN }
    recordings.set(
      name,
      within(path, () => recordingFromWav(name, readBytes(path), meta)),
    )
  }
  return recordings
}

export function recordingsOfScene(scene: Scene): string[] {
  const parts = [...scene.plucks, ...scene.noises, ...(scene.room?.parts ?? [])]
  return parts.flatMap((part) => (part.recording === undefined ? [] : [part.recording]))
}

export function recordingsOfStudy(study: Study): string[] {
  const parts = [...study.strings, ...study.rooms.flatMap((room) => room.parts)]
  return parts.flatMap((part) => (part.recording === undefined ? [] : [part.recording]))
}
