/**
 * While an input is heard the Bench's study stands still: its workers take every core, and an audio thread that has to wait for
 * one loses sound. It goes on by itself afterwards.
 */
import { cancel, run } from '../run/session.ts'
import { useBench } from '../store.ts'

let release: (() => void) | null = null
let held = false

export function holdBench(): void {
  if (release !== null) return
  const hold = (): void => {
    if (useBench.getState().phase !== 'running') return
    held = true
    cancel()
  }
  hold()
  release = useBench.subscribe(hold)
}

export function releaseBench(): void {
  release?.()
  release = null
  if (held) void run()
  held = false
}
