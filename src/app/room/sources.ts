/** Where the Room page's sound comes from: a device of this machine, or a made-up room. What differs between them ends here. */
import type { Instrument } from '../../core/instruments/instrument.ts'
import type { StudyString } from '../../core/study/study.ts'
import { type CaptureState, openCapture } from '../../host/capture.ts'
import { captureState } from '../../host/capturestate.ts'
import type { WantedDevice } from '../../host/devices.ts'
import type { NamedInput } from './inputstate.ts'
import { openMadeUp } from './madeup.ts'
import type { OpenInput } from './roomstore.ts'

export interface Source extends Omit<OpenInput, 'live' | 'rateHz' | 'shared'> {
  readonly context: AudioContext
  readonly node: AudioNode
  /** What to want in order to have this very input again. */
  readonly wanted: WantedDevice
  /** The made-up room and hand do what is asked for; of a device a person does. */
  damp(): void
  pluck(index: number): void
  /** False: it does not go on and must be opened anew. */
  resume(): Promise<boolean>
  close(): Promise<void>
}

export interface DeviceHandlers {
  onState(state: CaptureState): void
  /** At once, and whenever something is plugged in or out. */
  onDevices(devices: readonly NamedInput[]): void
}

/** Call it from a click or key. */
export async function deviceSource(wanted: WantedDevice, handlers: DeviceHandlers): Promise<Source> {
  const capture = await openCapture(wanted)
  const list = (): void => {
    const named = capture.devices.map(({ deviceId, label }) => ({
      id: deviceId,
      label: label === '' ? 'input without a name' : label,
    }))
    handlers.onDevices(named)
  }
  list()
  capture.onDevices(list)
  capture.onState(handlers.onState)
  const { context, input, label, again, applied, notes } = capture
  return {
    context,
    node: input,
    label,
    wanted: again,
    applied,
    notes,
    get state() {
      return capture.state
    },
    madeUp: false,
    damp: () => {},
    pluck: () => {},
    resume: () => capture.resume(),
    close: () => capture.close(),
  }
}

/** Call it from a click or key. */
export async function inventedSource(instrument: Instrument, strings: readonly StudyString[]): Promise<Source> {
  const made = await openMadeUp(instrument.kind, strings)
  return {
    context: made.context,
    node: made.input,
    label: 'Made-up room',
    wanted: { id: '', label: '' },
    applied: null,
    notes: [],
    state: captureState('listening'),
    madeUp: true,
    damp: () => made.damp(),
    pluck: (index) => made.pluck(index),
    async resume() {
      await made.context.resume()
      return true
    },
    close: () => made.close(),
  }
}
