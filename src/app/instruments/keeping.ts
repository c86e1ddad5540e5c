/**
 * Writes the list down by itself: 0.3 s after a change, and at once when the page is hidden, so that a crash loses less
 * than two seconds. Two tabs of one browser tell each other, or the slower one would overwrite the other's work.
 */
import { instrumentsJson, parseInstruments } from '../../core/instruments/parse.ts'
import { begun } from './history.ts'
import { keepInstruments, keptInstruments, setAside } from './keep.ts'
import type { Shelf } from './shelf.ts'
import { sentenceOf, shelfOf, takeOver, useInstruments } from './store.ts'

/** Short enough for the promise of two seconds, long enough not to write at every letter. */
const restMs = 300

const tabs = typeof BroadcastChannel === 'undefined' ? null : new BroadcastChannel('clatterbench-instruments')

let written: Shelf | null = null
let timer: ReturnType<typeof setTimeout> | undefined
let started = false

/** Reads what was kept and starts keeping; once a page. */
export async function startKeeping(): Promise<void> {
  if (started) return
  started = true
  const kept = await keptInstruments()
  if (kept.state === 'there') await open(kept.json)
  useInstruments.setState({ phase: 'open', storageRefused: kept.state === 'refused' })
  written = shelfOf(useInstruments.getState())
  useInstruments.subscribe((state) => {
    if (shelfOf(state) !== written) timer ??= setTimeout(() => void write(), restMs)
  })
  window.addEventListener('pagehide', () => void write())
  document.addEventListener('visibilitychange', () => {
    if (document.visibilityState === 'hidden') void write()
  })
  tabs?.addEventListener('message', () => void follow())
}

async function open(json: unknown): Promise<void> {
  try {
    const shelf = parseInstruments(json)
    useInstruments.setState(({ openId }) => ({
      history: begun<Shelf>(shelf),
      openId: shelf.some(({ id }) => id === openId) ? openId : (shelf[0]?.id ?? ''),
    }))
  } catch (cause) {
    await setAside(json)
    useInstruments.setState({
      notice: {
        text: `The instruments kept here were not understood. ${sentenceOf(cause)}. They are set aside, not lost; this is the demo.`,
        rest: JSON.stringify(json, null, 2),
      },
    })
  }
}

async function write(): Promise<void> {
  clearTimeout(timer)
  timer = undefined
  const shelf = shelfOf(useInstruments.getState())
  if (shelf === written) return
  written = shelf
  const done = await keepInstruments(instrumentsJson(shelf))
  useInstruments.setState(done ? { savedAt: Date.now(), storageRefused: false } : { storageRefused: true })
  if (done) tabs?.postMessage('changed')
}

async function follow(): Promise<void> {
  const kept = await keptInstruments()
  if (kept.state !== 'there') return
  try {
    const shelf = parseInstruments(kept.json)
    takeOver(shelf)
    written = shelfOf(useInstruments.getState())
  } catch {
    // A tab of another version wrote it: this one goes on with what it has.
  }
}
