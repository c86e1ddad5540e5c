/**
 * Keeps the screen lit while an input is heard: a screen that goes dark takes the page's sound with it on many machines.
 *
 * A browser lets the lock go by itself when its tab is hidden (W3C Screen Wake Lock, 2025, "handling document loses
 * visibility"), so it is asked for again when the tab is shown. Where there is no such lock, or it is refused, nothing is lost
 * but light.
 */

export interface Screen {
  readonly page: Pick<Document, 'visibilityState' | 'addEventListener' | 'removeEventListener'>
  /** Absent in older browsers and on pages that are not served securely. */
  readonly lock: Pick<WakeLock, 'request'> | undefined
}

const ownScreen = (): Screen => ({ page: document, lock: navigator.wakeLock })

/** Answers how to let the screen go dark again. */
export function keepAwake({ page, lock }: Screen = ownScreen()): () => void {
  let held: WakeLockSentinel | null = null
  let over = false
  let asking = false

  const ask = async (): Promise<void> => {
    if (over || asking || page.visibilityState !== 'visible' || held?.released === false) return
    asking = true
    try {
      held = (await lock?.request('screen')) ?? null
    } catch {
      held = null
    }
    asking = false
    if (over) letGo()
  }
  const letGo = (): void => {
    held?.release().catch(() => undefined)
    held = null
  }
  const shown = (): void => void ask()

  page.addEventListener('visibilitychange', shown)
  void ask()
  return () => {
    over = true
    page.removeEventListener('visibilitychange', shown)
    letGo()
  }
}
