/**
 * The last seconds of what was heard, to be frozen or kept. Where an input dies the clock goes on and zeros come: they would
 * push out what a person wants to look at, so the last seconds are set aside at once and stand until sound comes again.
 */
import type { CaptureKind } from '../../host/capturestate.ts'
import type { Live } from '../../host/live.ts'
import type { Snapshot } from '../../host/livemessages.ts'

/** All that the live worker keeps. */
const frozenS = 20

let aside: Promise<Snapshot | null> | null = null

/** To be told every change of the input's state. */
export function inputStands(live: Live, kind: CaptureKind): void {
  aside = kind === 'listening' ? null : (aside ?? live.snapshot(frozenS))
}

/** Another input is heard from now on, or none. */
export function forgetLast(): void {
  aside = null
}

/** The samples are not to be changed: the same may be asked for again. */
export const lastSeconds = (live: Live): Promise<Snapshot | null> => aside ?? live.snapshot(frozenS)
