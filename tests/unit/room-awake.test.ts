/** The screen's lock: asked for, let go with its tab by the browser, asked for again. Browser parts are stood in for. */
import { expect, it } from 'vitest'
import { keepAwake } from '../../src/app/room/awake.ts'

function stage(grant: () => Promise<void> = async () => {}) {
  const asked: { released: boolean; release(): Promise<void> }[] = []
  const shown = new Set<() => void>()
  const page = {
    visibilityState: 'visible' as DocumentVisibilityState,
    addEventListener: (_: string, handler: () => void) => shown.add(handler),
    removeEventListener: (_: string, handler: () => void) => shown.delete(handler),
  }
  const lock = {
    async request() {
      await grant()
      const sentinel = {
        released: false,
        async release() {
          sentinel.released = true
        },
      }
      asked.push(sentinel)
      return sentinel
    },
  }
  const become = async (state: DocumentVisibilityState) => {
    page.visibilityState = state
    // The browser lets every lock of a hidden tab go.
    if (state === 'hidden') for (const sentinel of asked) sentinel.released = true
    for (const handler of shown) handler()
    await settled()
  }
  return { asked, shown, become, screen: { page, lock } as never }
}

const settled = () => new Promise((resolve) => setTimeout(resolve, 0))

it('is asked for at once, again after the tab was hidden and shown, and let go in the end', async () => {
  const { asked, shown, become, screen } = stage()
  const letDark = keepAwake(screen)
  await settled()
  expect(asked).toHaveLength(1)
  await become('hidden')
  expect(asked).toHaveLength(1)
  await become('visible')
  expect(asked.map(({ released }) => released)).toEqual([true, false])
  // Shown without having been hidden: one lock is enough.
  await become('visible')
  expect(asked).toHaveLength(2)
  letDark()
  expect(asked.map(({ released }) => released)).toEqual([true, true])
  await become('hidden')
  await become('visible')
  expect(asked).toHaveLength(2)
  expect(shown.size).toBe(0)
})

it('lets a lock go that was granted after the input was closed', async () => {
  let grant = () => {}
  const granted = new Promise<void>((resolve) => {
    grant = resolve
  })
  const { asked, screen } = stage(() => granted)
  const letDark = keepAwake(screen)
  letDark()
  grant()
  await settled()
  expect(asked.map(({ released }) => released)).toEqual([true])
})

it('is done without where there is none or it is refused', async () => {
  const refused = stage(() => Promise.reject(new DOMException('', 'NotAllowedError')))
  const letDark = keepAwake(refused.screen)
  await settled()
  await refused.become('hidden')
  await refused.become('visible')
  letDark()
  const { screen } = stage()
  keepAwake({ ...(screen as object), lock: undefined } as never)()
  await settled()
})
