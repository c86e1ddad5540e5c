/** How an open input stands: one state at a time, each with its sentence and with what a person can do about it. */

export type CaptureKind = 'listening' | 'silent' | 'suspended' | 'frozen' | 'muted' | 'ended' | 'closed'

export interface CaptureState {
  readonly kind: CaptureKind
  readonly what: string
  /** What one button can do; null: nothing is wrong, or nothing is open. */
  readonly mend: 'resume' | 'reconnect' | null
}

const states: Readonly<Record<CaptureKind, Omit<CaptureState, 'kind'>>> = {
  listening: { what: 'Listening.', mend: null },
  silent: {
    what: 'Nothing but digital silence has come in for three seconds: look at the cable, the volume and the mute switch, or reconnect. What was heard is kept.',
    mend: 'reconnect',
  },
  suspended: { what: 'The browser has paused the sound. Press Resume. What was heard is kept.', mend: 'resume' },
  frozen: {
    what: 'The sound has stood still for a second. Press Resume: if it stays so, the input is opened anew. What was heard is kept.',
    mend: 'resume',
  },
  muted: {
    what: 'The system has muted this input: unmute it there, or reconnect. What was heard is kept.',
    mend: 'reconnect',
  },
  ended: {
    what: 'The input is gone. What was heard is kept. Plug it in again and press Reconnect.',
    mend: 'reconnect',
  },
  closed: { what: 'Not listening.', mend: null },
}

export const captureState = (kind: CaptureKind): CaptureState => ({ kind, ...states[kind] })

/** Whether sound comes in at all; silence may be the pause before a pluck. */
export const isHeard = ({ kind }: CaptureState): boolean => kind === 'listening' || kind === 'silent'
