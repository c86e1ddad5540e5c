/** A source node whose string is plucked, turned and muted by commands: what a drill listens to. It connects nowhere by itself. */
import type { LiveCommand, LiveSetup } from '../core/drill/liveplucks.ts'
import type { DrillStringOptions, FromDrillString, ToDrillString } from './drillmessages.ts'
import { loadWorklet } from './player.ts'

export interface DrillString {
  readonly node: AudioNode
  obey(command: LiveCommand): void
  /** Called at most once: it is silent from then on. */
  onProblem(handler: (what: string) => void): void
  close(): void
}

/**
 * @param workletUrl address of the compiled worklets/drillstring.ts
 * @param commands obeyed from the first sample on.
 * @throws Problem when the worklet cannot be loaded.
 */
export async function openDrillString(
  workletUrl: string,
  context: BaseAudioContext,
  setup: Omit<LiveSetup, 'sampleRateHz'>,
  commands: readonly LiveCommand[] = [],
): Promise<DrillString> {
  await loadWorklet(context, workletUrl)
  const processorOptions: DrillStringOptions = { setup, commands }
  const node = new AudioWorkletNode(context, 'drill-string', {
    ...{ numberOfInputs: 0, outputChannelCount: [1], processorOptions },
  })
  const post = (message: ToDrillString) => node.port.postMessage(message)
  let problem: ((what: string) => void) | null = () => {}
  const fail = (what: string) => {
    problem?.(what)
    problem = null
  }
  node.port.onmessage = ({ data }: MessageEvent<FromDrillString>) => fail(data.what)
  node.onprocessorerror = () => fail('the string stopped')
  return {
    node,
    obey: post,
    onProblem(handler) {
      if (problem !== null) problem = handler
    },
    close() {
      post({ kind: 'close' })
      node.disconnect()
    },
  }
}
