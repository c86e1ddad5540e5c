/**
 * The string of a drill as it sounds, and the methods that hear it: a worklet source, a tap into the live worker, and, only where
 * a person asked for it, the loudspeaker.
 */
import drillStringUrl from '../../../worklets/drillstring.ts?worker&url'
import tapUrl from '../../../worklets/tap.ts?worker&url'
import type { Exercise } from '../../core/drill/exercise.ts'
import { type RoomLoop, soundingOf } from '../../core/drill/sounding.ts'
import { drillStrings, pluckSeed } from '../../core/drill/strings.ts'
import { hzFromCents } from '../../core/maths/units.ts'
import { studyDefaults } from '../../core/study/presets.ts'
import type { Audio } from '../../host/audio.ts'
import { openDrillString } from '../../host/drillstring.ts'
import { openLive } from '../../host/live.ts'
import { browserLivePort } from '../../host/liveport.ts'
import { type LiveRow, LiveView } from '../../host/liveview.ts'

/** From a command to the samples that the methods hear: what they say of sooner samples is of what was before (assumption). */
const lateS = 0.05

export interface Ear {
  /** A row a method, of the string in hand; empty before the first pluck. */
  readonly rows: readonly LiveRow[]
  readonly targetHz: number
  /** Reads what is new. */
  update(): void
  /** `pluck`: of this string, counted from 0. */
  pluck(string: number, residualCents: number, pluck: number): void
  /** The string in hand stands there now; claims begin anew. */
  turn(residualCents: number): void
  setSound(on: boolean): void
  close(): void
}

/** @throws Problem when a worklet cannot be loaded. */
export async function openEar(
  audio: Audio,
  exercise: Exercise,
  seed: number,
  room: RoomLoop,
  onProblem: (what: string) => void,
): Promise<Ear> {
  const { context, output } = audio
  const { strings, homeHz } = soundingOf(exercise, seed, context.sampleRate)
  const targetsHz = drillStrings(exercise).map(({ study }) => study.targetHz)
  const source = await openDrillString(drillStringUrl, context, { strings, room: room.samples, roomGain: 1 })
  source.onProblem(onProblem)
  const live = await openLive(tapUrl, source.node, browserLivePort, { channel: 'left' })
  live.onProblem(onProblem)
  live.onDropped(({ what }) => onProblem(what))
  const { lowestHz, highestHz, claim } = studyDefaults
  const choices = exercise.methods.map(({ letGoCents: _, ...choice }) => choice)
  let inHand = -1
  let view: LiveView | null = null
  let heard = false

  /** How far the methods have heard, s of the stream. */
  let heardS = 0

  const restart = (): void => {
    // NaN, of a row without readings, is no later than anything.
    for (const { toS } of view?.rows ?? []) if (toS > heardS) heardS = toS
    view?.restart(Math.round((heardS + lateS) * live.sampleRateHz))
  }

  return {
    get rows() {
      return view?.rows ?? []
    },
    get targetHz() {
      return targetsHz[inHand] ?? Number.NaN
    },
    update: () => void view?.update(),
    pluck(string, residualCents, pluck) {
      if (string !== inHand) {
        restart()
        inHand = string
        const stream = { lowestHz, highestHz, targetHz: targetsHz[string], room: room.spectrum }
        view = new LiveView(live.choose(choices, stream), live.sampleRateHz, claim)
      }
      source.obey({
        kind: 'pluck',
        string,
        f1Hz: hzFromCents(residualCents, homeHz[string]),
        seed: pluckSeed(seed, string, pluck),
      })
      restart()
    },
    turn(residualCents) {
      if (inHand < 0) return
      source.obey({ kind: 'f1', f1Hz: hzFromCents(residualCents, homeHz[inHand]) })
      restart()
    },
    setSound(on) {
      if (on === heard) return
      heard = on
      if (on) source.node.connect(output)
      else source.node.disconnect(output)
    },
    close() {
      void live.close().then(() => source.close())
    },
  }
}
