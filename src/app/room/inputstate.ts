/** What a page that listens to an input keeps of it, at a person's pace: which is wanted, which is open, what is wrong. */
import type { CaptureState } from '../../host/capture.ts'
import type { AppliedSettings } from '../../host/devices.ts'
import type { Channel } from '../../host/messages.ts'

export interface NamedInput {
  readonly id: string
  readonly label: string
}

export interface HeardInput {
  readonly label: string
  readonly rateHz: number
  readonly shared: boolean
  /** null: made up, nothing was asked of a device. */
  readonly applied: AppliedSettings | null
  readonly notes: readonly string[]
  readonly state: CaptureState
}

export interface InputState<Input extends HeardInput> {
  readonly device: NamedInput
  readonly channel: Channel
  /** Named after permission only. */
  readonly devices: readonly NamedInput[]
  readonly opening: boolean
  /** null: none is open. */
  readonly input: Input | null
  /** Why the input did not open, or what went wrong since. */
  readonly problem: string | null
}

/** The system's own choice. */
export const defaultInput: NamedInput = { id: '', label: '' }

export const noInput: InputState<never> = {
  device: defaultInput,
  channel: 'left',
  devices: [],
  opening: false,
  input: null,
  problem: null,
}
