/** What the Drill page shows of a reading. */
import type { Page } from 'playwright-core'

export interface SteadyReading {
  /** Off the note, as its digits say. */
  readonly cents: number
  /** Beside them: whether it is inside. */
  readonly words: string
}

/** Call it after a pluck: waits until its reading is steady. */
export async function steadyReading(page: Page): Promise<SteadyReading> {
  // Words are written ten times a second: what stood before the pluck is gone by then.
  await page.waitForTimeout(400)
  const shown = await page.waitForFunction(() => {
    const of = (name: string) => document.querySelector(`[data-drill="${name}"]`)?.textContent ?? ''
    const cents = Number(of('digits').replace('−', '-'))
    return of('state').startsWith('steady') && !Number.isNaN(cents) ? { cents, words: of('words') } : null
  })
  return (await shown.jsonValue()) as SteadyReading
}
