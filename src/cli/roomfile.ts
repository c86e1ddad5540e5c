/**
 * A WAV file of a room's noise, as a room of a study.
 *
 * The room goes by the file's name, its recording by name and hash of the samples: a run's header tells which take it was made
 * from wherever the file lies by then. Every trial plays a seeded stretch of the take, round and round
 * (scene/noises/recorded.ts, where the end runs into the beginning over 50 ms). Stretches of different trials overlap, so
 * there are only as many independent ones as fit the take end to end, however many trials a run has. An input's offset is no
 * noise: the mean is taken out.
 */
import { createHash } from 'node:crypto'
import { basename, extname } from 'node:path'
import { mean, rms } from '../core/maths/statistics.ts'
import { dbFromAmplitudeRatio } from '../core/maths/units.ts'
import { Problem } from '../core/problem.ts'
import { recordingFromWav } from '../core/scene/recording.ts'
import type { Recording } from '../core/scene/scene.ts'
import type { Study, StudyRoom } from '../core/study/study.ts'
import { readBytes, within } from './files.ts'

export interface RoomFile {
  readonly room: StudyRoom
  readonly recording: Recording
}

/** Two stretches of the shortest useful trial, a second after a lead of a quarter, that do not overlap. */
const shortestS = 2.5
/** One step of 16-bit PCM: what is left of an input that nothing is plugged into. */
const silentDbfs = -90
/** So near full scale that what follows is cut off there. */
const fullScale = 0.999
/** Sound passes through full scale; only a clipped input stays there. */
const clippedRun = 3
/** Of 64 hexadecimal digits: 64 bits tell any two takes apart. */
const hashDigits = 16

/** @throws Problem that begins with the file's name, for what is no WAV file, too short, silent or clipped. */
export function readRoomFile(path: string): RoomFile {
  return within(path, () => {
    const name = basename(path, extname(path))
    const { sampleRateHz, samples } = recordingFromWav(name, readBytes(path))
    check(samples, sampleRateHz)
    const hash = createHash('sha256').update(new Uint8Array(samples.buffer, samples.byteOffset, samples.byteLength))
    const id = `${name} sha256-${hash.digest('hex').slice(0, hashDigits)}`
    const offset = mean(samples)
    return {
      room: { id: name, parts: [{ id: 'recorded', levelDb: 0, values: {}, recording: id }], variant: 'string' },
      recording: {
        id,
        sampleRateHz,
        samples: samples.map((sample) => sample - offset),
        onsetS: Number.NaN,
        f1Hz: Number.NaN,
      },
    }
  })
}

function check(samples: Float32Array, sampleRateHz: number): void {
  const durationS = samples.length / sampleRateHz
  if (durationS < shortestS) {
    throw new Problem(`${durationS.toFixed(2)} s is below ${shortestS} s: too short for a room`, 'durationS')
  }
  const offset = mean(samples)
  const levelDbfs = dbFromAmplitudeRatio(rms(samples.map((sample) => sample - offset)))
  if (!(levelDbfs >= silentDbfs)) {
    const value = levelDbfs === Number.NEGATIVE_INFINITY ? 'digital silence' : `${levelDbfs.toFixed(1)} dBFS`
    throw new Problem(`${value} is below ${silentDbfs} dBFS: the take is silent`, 'levelDbfs')
  }
  const { count, firstS } = clipped(samples, sampleRateHz)
  if (count > 0) {
    const first = `the first at ${firstS.toFixed(3)} s`
    throw new Problem(
      `${count} stretches of ${clippedRun} samples or more stay at full scale, ${first}; the limit is 0: the take is clipped`,
      'samples',
    )
  }
}

function clipped(samples: Float32Array, sampleRateHz: number): { count: number; firstS: number } {
  let [count, run, firstS] = [0, 1, Number.NaN]
  for (let i = 1; i < samples.length; i++) {
    run = samples[i] === samples[i - 1] && Math.abs(samples[i]) >= fullScale ? run + 1 : 1
    if (run !== clippedRun) continue
    if (count === 0) firstS = (i - clippedRun + 1) / sampleRateHz
    count++
  }
  return { count, firstS }
}

/** The study in these rooms; `beside`: in its own and these. @throws Problem where two rooms have one name. */
export function inRooms(study: Study, files: readonly RoomFile[], beside: boolean): Study {
  const rooms = [...(beside ? study.rooms : []), ...files.map(({ room }) => room)]
  const ids = rooms.map(({ id }) => id)
  const twin = ids.findIndex((id, at) => ids.indexOf(id) < at)
  if (twin >= 0) throw new Problem(`a room "${ids[twin]}" stands there already: rename the file`, '--room-file')
  return { ...study, rooms }
}

/** What to know of a run's intervals where its room is one take, told before the run. */
export function roomSentence({ recording, room }: RoomFile, study: Study): string {
  const takeS = recording.samples.length / recording.sampleRateHz
  const apart = Math.max(1, Math.floor(takeS / study.takeS))
  const trials = study.strings.length * study.snrsDb.length * study.repeats
  return (
    `${room.id}: ${trials} trials of ${study.takeS} s play stretches of one take of ${takeS.toFixed(1)} s, ` +
    `of which ${apart} do not overlap: intervals over trials tell of this take, not of other minutes of that room`
  )
}
