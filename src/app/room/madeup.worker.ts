/** Body of the worker that renders the made-up session: the room once, then every string of the instrument, plucked in tune or near. */
import { Problem } from '../../core/problem.ts'
import { renderNoise, renderString } from '../../core/scene/render.ts'
import type { Scene } from '../../core/scene/scene.ts'
import { roomById, studyDefaults } from '../../core/study/presets.ts'
import type { Study, StudyString } from '../../core/study/study.ts'
import { sceneOf } from '../../core/study/trialscene.ts'
import type { MadeUpAnswer, MadeUpOrder } from './madeup.ts'

interface WorkerScope {
  postMessage(message: MadeUpAnswer, transfer?: Transferable[]): void
  onmessage: ((event: MessageEvent<MadeUpOrder>) => void) | null
}

const scope = globalThis as unknown as WorkerScope
/** Before the pluck of the string that the room's level is set by. */
const leadS = 0.1
const pluckS = 4

/** 6 dB of room above, as a careful hand leaves it: a loud room must not overload the made-up input. */
const peak = 0.5

const largest = (samples: Float32Array): number => samples.reduce((most, sample) => Math.max(most, Math.abs(sample)), 0)

function made({ strings, room: id, roomS, snrDb, seed, sampleRateHz }: MadeUpOrder): MadeUpAnswer {
  const room = roomById(id)
  const sceneFor = (string: StudyString, takeS: number): Scene => {
    const study: Study = {
      ...studyDefaults,
      ...{ id: 'made-up', seed, sampleRateHz, takeS, leadS, strings, rooms: [room], snrsDb: [snrDb], repeats: 1 },
      methods: [],
    }
    return sceneOf(study, string, room, { index: 0, string: string.id, room: id, snrDb, repeat: 0 })
  }
  const reference = sceneFor(strings[Math.min(2, strings.length - 1)], roomS)
  const noise = renderNoise(reference, renderString(reference, new Map()), new Map())
  const plucks = strings.map((string) => renderString(sceneFor(string, pluckS), new Map()).samples)
  const gain = peak / (largest(noise) + Math.max(...plucks.map(largest)))
  const turned = (samples: Float32Array): Float32Array => samples.map((sample) => gain * sample)
  return { kind: 'made', noise: turned(noise), plucks: plucks.map(turned) }
}

scope.onmessage = ({ data }) => {
  try {
    scope.postMessage(made(data))
  } catch (cause) {
    const what = cause instanceof Problem ? cause.sentence : cause instanceof Error ? cause.message : String(cause)
    scope.postMessage({ kind: 'problem', what })
  }
}
