/** What several tests do on the Room page: open its input, watch what it says and when, take its file and find it in what was played. */
import { readFileSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import type { Page } from 'playwright-core'
import type { RoomTake } from '../../src/app/room/take.ts'
import { takeOfZip } from '../../src/app/room/takezip.ts'

export interface Said {
  /** Seconds since the device was opened, which is when the fake one begins to play. */
  readonly atS: number
  readonly text: string
}

/** What the page has said since it was opened, in order. */
interface Watched {
  openedMs: number
  readonly asked: Said[]
  /** The string in hand of the live picture; '' for none. */
  readonly called: Said[]
  /** Of the first live method: where it stands, whether its digits are put back, its claim or what sounds in its place. */
  readonly told: Said[]
  readonly streams: MediaStream[]
}

declare global {
  interface Window {
    watched: Watched
  }
}

/** Before the page begins: notes when the device is opened, every change of what is asked for and of the string that is named. */
export function watchPage(): void {
  const watched: Watched = { openedMs: Number.NaN, asked: [], called: [], told: [], streams: [] }
  Object.assign(window, { watched })
  const { mediaDevices } = navigator
  const ask = mediaDevices.getUserMedia.bind(mediaDevices)
  mediaDevices.getUserMedia = async (wish) => {
    const stream = await ask(wish)
    watched.openedMs = performance.now()
    watched.streams.push(stream)
    return stream
  }
  const textOf = (selector: string): string => document.querySelector(selector)?.textContent ?? ''
  const note = (list: Said[], text: string): void => {
    if (text === (list.at(-1)?.text ?? '')) return
    list.push({ atS: (performance.now() - watched.openedMs) / 1000, text })
  }
  new MutationObserver(() => {
    note(watched.asked, textOf('.room-ask-title'))
    note(watched.called, textOf('.live-target strong'))
    const isBack = document.querySelector('.live-digits .put-back') !== null
    const places = [textOf('[data-live="inside"]'), isBack ? 'put back' : '', textOf('[data-live="claim"]')]
    note(watched.told, places.join(' | '))
  }).observe(document, { subtree: true, childList: true, characterData: true })
}

export const askedOn = (page: Page): Promise<Said[]> => page.evaluate(() => window.watched.asked)
export const calledOn = (page: Page): Promise<Said[]> => page.evaluate(() => window.watched.called)
export const toldOn = (page: Page): Promise<Said[]> => page.evaluate(() => window.watched.told)

/** How long the file has played, seconds. */
export const playedOn = (page: Page): Promise<number> =>
  page.evaluate(() => (performance.now() - window.watched.openedMs) / 1000)

/** Resolves when the file has played for so long. */
export async function playedFor(page: Page, seconds: number): Promise<void> {
  await page.waitForTimeout(1000 * Math.max(0, seconds - (await playedOn(page))))
}

/** For a machine with other work to do: no limit here says how fast the page is. */
export const patient = { timeout: 60_000 }

/** From the reminder to the open input, by a pedal's key alone. */
export async function openInputByKeys(page: Page): Promise<void> {
  await page.getByText('First: is the house muted?').waitFor(patient)
  await page.keyboard.press('PageDown')
  await page.getByRole('button', { name: 'Open the input' }).waitFor(patient)
  await page.keyboard.press('PageDown')
  await page.getByText('Damp all strings').waitFor(patient)
}

/** Longer than from one pluck to the next: what did not come by then was missed. */
const nextMs = 6000
/** Whether the page came to ask so. */
export const asksFor = (page: Page, words: string): Promise<boolean> =>
  page
    .locator('.room-ask-title', { hasText: words })
    .waitFor({ timeout: nextMs })
    .then(
      () => true,
      () => false,
    )

/** One word of the level meter: "RMS −20". */
export const levelWord = (page: Page, name: string): Promise<string | null> =>
  page.locator(`[data-level="${name}"]`).textContent()

export const lostWords = 'Sound was lost on the way'

const saveButton = (page: Page) => page.getByRole('button', { name: 'Save as a file' }).first()
const takeAt = (path: string): Promise<RoomTake> => takeOfZip(new Uint8Array(readFileSync(path)))

/** The newest take as the page saves it. */
export async function savedTake(page: Page): Promise<RoomTake> {
  const download = page.waitForEvent('download')
  await saveButton(page).click()
  return takeAt(await (await download).path())
}

/** The same in a browser of `launchTabbed`, whose downloads Playwright does not see. */
export async function savedTakeIn(folder: string, page: Page): Promise<RoomTake> {
  const session = await page.context().newCDPSession(page)
  await session.send('Browser.setDownloadBehavior', { behavior: 'allow', downloadPath: folder, eventsEnabled: true })
  const done = new Promise<string>((resolve) => {
    let name = ''
    session.on('Browser.downloadWillBegin', ({ suggestedFilename }) => {
      name = suggestedFilename
    })
    session.on('Browser.downloadProgress', ({ state }) => {
      if (state === 'completed') resolve(name)
    })
  })
  await saveButton(page).click()
  const path = join(folder, await done)
  const take = await takeAt(path)
  // A second file of that name would get another one.
  rmSync(path)
  await session.detach()
  return take
}
