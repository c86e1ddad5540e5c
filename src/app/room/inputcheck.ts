/** One run of the checks of an input: three seconds of the room, fifteen of the tone, then the figures. */
import type { ClockFigures } from '../../core/room/clockrate.ts'
import type { SteadyToneFigures } from '../../core/room/steadytone.ts'
import type { Live } from '../../host/live.ts'
import { figuresOf } from './figures.ts'
import { playTone, type ToneSource, toneHz } from './tonesource.ts'

/** Six half seconds: what the core wants of the room alone, and as much again for the person's hand. */
export const roomS = 3
/** Suppressors and automatic gain that are slow have settled by then (common practice, no source). */
export const toneS = 15

export interface CheckWish {
  readonly live: Live
  /** The tone comes from this machine's loudspeaker. */
  readonly plays: boolean
  /** null: not known, the clock is not checked. */
  readonly known: { readonly hz: number; readonly ppm: number } | null
  readonly gone: AbortSignal
  onPhase(phase: 'room' | 'tone' | 'figures'): void
}

export interface CheckResult {
  readonly tone: SteadyToneFigures | null
  readonly clock: ClockFigures | null
  /** Of unbroken sound. */
  readonly heardS: number
  readonly plays: boolean
  readonly known: CheckWish['known']
}

/** A sentence: what went wrong. null: it was broken off. */
export async function checkInput(wish: CheckWish): Promise<CheckResult | string | null> {
  const { live, plays, known, gone, onPhase } = wish
  let source: ToneSource | null = null
  try {
    onPhase('room')
    await waited(roomS, gone)
    if (plays && !gone.aborted) source = await playTone()
    onPhase('tone')
    await waited(toneS, gone)
    if (gone.aborted) return null
    const snapshot = await live.snapshot(roomS + toneS)
    if (snapshot === null) return 'The input was closed meanwhile: nothing was told.'
    onPhase('figures')
    const { samples } = snapshot
    const answer = await figuresOf({
      kind: 'input-check',
      samples,
      sampleRateHz: live.sampleRateHz,
      nearHz: plays ? toneHz : null,
      known: plays ? null : known,
      sourceGoesOn: plays,
    })
    if (answer.kind === 'problem') return answer.what
    if (answer.kind !== 'input-check') return null
    const { tone, clock } = answer
    return { tone, clock, heardS: samples.length / live.sampleRateHz, plays, known }
  } finally {
    await source?.stop()
  }
}

const waited = (seconds: number, gone: AbortSignal): Promise<void> =>
  new Promise((resolve) => {
    if (gone.aborted) return resolve()
    const end = (): void => {
      clearTimeout(timer)
      resolve()
    }
    const timer = setTimeout(() => {
      gone.removeEventListener('abort', end)
      resolve()
    }, 1000 * seconds)
    gone.addEventListener('abort', end, { once: true })
  })
