/** A drill string rendered by its worklet in an offline context: plain numbers, to be compared with Node's. */
import type { LiveCommand, LiveSetup } from '../../../src/core/drill/liveplucks.ts'
import { openDrillString } from '../../../src/host/drillstring.ts'
import drillStringUrl from '../../../worklets/drillstring.ts?worker&url'

export interface DrillRun {
  readonly setup: Omit<LiveSetup, 'sampleRateHz' | 'room'> & { readonly room: readonly number[] }
  readonly commands: readonly LiveCommand[]
  readonly sampleRateHz: number
  readonly samples: number
}

export async function drillString({ setup, commands, sampleRateHz, samples }: DrillRun) {
  const context = new OfflineAudioContext(1, samples, sampleRateHz)
  const string = await openDrillString(
    drillStringUrl,
    context,
    { ...setup, room: Float32Array.from(setup.room) },
    commands,
  )
  const problems: string[] = []
  string.onProblem((what) => problems.push(what))
  string.node.connect(context.destination)
  const output = (await context.startRendering()).getChannelData(0)
  return { samples: Array.from(output), problems }
}
