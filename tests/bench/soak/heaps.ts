/** Heaps of a page and of every worker and worklet it has, after a forced collection, by the browser's own account. */
import type { CDPSession, Page } from 'playwright-core'

export interface Heap {
  readonly name: string
  /** Bytes in use: JavaScript objects, those of the browser that they hold, and their array buffers. */
  readonly usedBytes: number
}

export interface Heaps {
  /** The page first. A worker that does not answer within five seconds is left out. */
  collected(): Promise<Heap[]>
}

const answerMs = 5000

interface Usage {
  readonly usedSize: number
  readonly embedderHeapUsedSize?: number
  readonly backingStorageSize?: number
}

const bytes = ({ usedSize, embedderHeapUsedSize = 0, backingStorageSize = 0 }: Usage): number =>
  usedSize + embedderHeapUsedSize + backingStorageSize

/** `https://here/assets/live.worker-D4PqX2XK.js` is the live worker, whatever its hash; a worklet has its page's address. */
const nameOf = (url: string): string => url.match(/([a-z]+)\.worker/)?.[1] ?? 'audio worklet'

/** Call it before the workers start. */
export async function watchHeaps(page: Page): Promise<Heaps> {
  const session: CDPSession = await page.context().newCDPSession(page)
  const workers = new Map<string, string>()
  const waiting = new Map<number, (result: unknown) => void>()
  let asked = 0
  session.on('Target.attachedToTarget', ({ sessionId, targetInfo }) => workers.set(sessionId, nameOf(targetInfo.url)))
  session.on('Target.detachedFromTarget', ({ sessionId }) => workers.delete(sessionId))
  session.on('Target.receivedMessageFromTarget', ({ message }) => {
    const { id, result } = JSON.parse(message) as { id: number; result?: unknown }
    waiting.get(id)?.(result)
    waiting.delete(id)
  })
  // Playwright hands out no session of a worker: messages to it travel inside the page's own.
  await session.send('Target.setAutoAttach', { autoAttach: true, waitForDebuggerOnStart: false, flatten: false })
  const tell = (sessionId: string, method: string): Promise<unknown> => {
    const id = ++asked
    const answer = new Promise((resolve) => {
      waiting.set(id, resolve)
      setTimeout(() => resolve(undefined), answerMs)
    })
    const message = JSON.stringify({ id, method, params: {} })
    return session
      .send('Target.sendMessageToTarget', { sessionId, message })
      .then(() => answer)
      .catch(() => undefined)
  }
  return {
    async collected() {
      await session.send('HeapProfiler.collectGarbage')
      const heaps: Heap[] = [{ name: 'page', usedBytes: bytes((await session.send('Runtime.getHeapUsage')) as Usage) }]
      for (const [sessionId, name] of workers) {
        await tell(sessionId, 'HeapProfiler.collectGarbage')
        const usage = (await tell(sessionId, 'Runtime.getHeapUsage')) as Usage | undefined
        if (usage !== undefined) heaps.push({ name, usedBytes: bytes(usage) })
      }
      return heaps
    },
  }
}
