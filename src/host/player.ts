/**
 * Plays a take: its string, its noise or both. One player holds one take on one worklet node.
 *
 * The take is resampled to the context's rate if need be, and turned down as a whole when any of its sides or their sum
 * passes full scale: a room 60 dB above its string stays as loud as the loudspeaker's level allows and no louder.
 */
import { resample } from '../core/maths/resample.ts'
import { Problem } from '../core/problem.ts'
import {
  type FromPlayer,
  type Part,
  type PlayerOptions,
  type TakeParts,
  type ToPlayer,
  unknownKind,
} from './messages.ts'

/** Long enough to be free of clicks, short enough to feel immediate. */
const rampS = 0.02

export interface Player {
  readonly durationS: number
  /** From its start unless told otherwise; always fades in. */
  play(fromS?: number): void
  pause(): void
  hear(part: Part): void
  /** Off until it is switched on. */
  loop(on: boolean): void
  /** About ten times a second while it plays, and when it begins or ends. */
  onPosition(handler: (positionS: number, playing: boolean) => void): void
  /** Called at most once: it is silent from then on. */
  onProblem(handler: (what: string) => void): void
  close(): void
}

export interface PlayerSettings {
  readonly part: Part
  /** Fades, s. 0 only for comparing samples. */
  readonly rampS?: number
  /** Plays at once, without waiting for `play`. */
  readonly playing?: boolean
}

/**
 * @param workletUrl address of the compiled worklets/player.ts
 * @param output where it connects: `Audio.output`, whose level starts low
 * @throws Problem when the worklet cannot be loaded or the sides differ in length.
 */
export async function openPlayer(
  workletUrl: string,
  output: AudioNode,
  take: TakeParts & { readonly sampleRateHz: number },
  settings: PlayerSettings,
): Promise<Player> {
  const { context } = output
  await loadWorklet(context, workletUrl)
  const { string, noise } = fitted(take, context.sampleRate)
  const processorOptions: PlayerOptions = {
    string,
    noise,
    part: settings.part,
    rampSamples: Math.round((settings.rampS ?? rampS) * context.sampleRate),
    playing: settings.playing ?? false,
  }
  const node = new AudioWorkletNode(context, 'player', { numberOfInputs: 0, outputChannelCount: [1], processorOptions })
  const post = (message: ToPlayer) => node.port.postMessage(message)
  let position: (positionS: number, playing: boolean) => void = () => {}
  let problem: (what: string) => void = () => {}
  node.port.onmessage = ({ data }: MessageEvent<FromPlayer>) => {
    if (data.kind === 'at') position(data.sample / context.sampleRate, data.playing)
    else problem(data.kind === 'problem' ? data.what : unknownKind(data))
  }
  node.onprocessorerror = () => problem('the player stopped')
  node.connect(output)
  return {
    durationS: string.length / context.sampleRate,
    play: (fromS = 0) => post({ kind: 'play', fromSample: Math.round(fromS * context.sampleRate) }),
    pause: () => post({ kind: 'pause' }),
    hear: (part) => post({ kind: 'hear', part }),
    loop: (on) => post({ kind: 'loop', on }),
    onPosition(handler) {
      position = handler
    },
    onProblem(handler) {
      problem = handler
    },
    close() {
      post({ kind: 'close' })
      node.disconnect()
    },
  }
}

/** A context keeps what it loaded: asking again costs nothing. @throws Problem */
export async function loadWorklet(context: BaseAudioContext, url: string): Promise<void> {
  if (context.audioWorklet === undefined) throw new Problem('this browser offers no audio worklets here', '')
  try {
    await context.audioWorklet.addModule(url)
  } catch (error) {
    throw new Problem(`the audio worklet could not be loaded (${String(error)})`, '')
  }
}

/** Both sides at the context's rate, none of them nor their sum beyond full scale. Copies only what it changes. */
export function fitted(take: TakeParts & { readonly sampleRateHz: number }, contextRateHz: number): TakeParts {
  const { string, noise, sampleRateHz } = take
  if (string.length !== noise.length) {
    throw new Problem(`a noise of ${noise.length} samples and a string of ${string.length} are no take`, 'noise')
  }
  const atRate = (side: Float32Array) =>
    sampleRateHz === contextRateHz ? side : resample(side, sampleRateHz, contextRateHz)
  const sides = { string: atRate(string), noise: atRate(noise) }
  let peak = 0
  for (let i = 0; i < sides.string.length; i++) {
    const a = sides.string[i]
    const b = sides.noise[i]
    peak = Math.max(peak, Math.abs(a), Math.abs(b), Math.abs(a + b))
  }
  if (!(peak > 1)) return sides
  return { string: sides.string.map((sample) => sample / peak), noise: sides.noise.map((sample) => sample / peak) }
}
