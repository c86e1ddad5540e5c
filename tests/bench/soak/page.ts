/**
 * The Room page's input, its two workers and its live picture, with more methods than the page itself lets a person choose.
 * Counts what soak.ts asks for; nothing is decided here.
 */
import { createElement } from 'react'
import { createRoot } from 'react-dom/client'
import { LivePicture } from '../../../src/app/live/LivePicture.tsx'
import { newestLevel } from '../../../src/app/room/levels.ts'
import { useRoom } from '../../../src/app/room/roomstore.ts'
import { freeze, openDevice } from '../../../src/app/room/session.ts'
import '../../../src/app/style/base.css'
import '../../../src/app/style/live.css'
import '../../../src/app/style/tokens.css'
import { partFaults } from '../../../src/core/room/partfaults.ts'
import { studyDefaults } from '../../../src/core/study/presets.ts'
import type { LiveStatus } from '../../../src/host/livemessages.ts'

const { lowestHz, highestHz, claim } = studyDefaults
const toleranceCents = 5

let frames = 0
let status: LiveStatus | null = null
const problems: string[] = []
/** Samples looked at for holes, from the first of the stream on, and those that lay in one. */
let lookedTo = 0
let holeSamples = 0
let unseenSamples = 0

function count(): void {
  frames++
  requestAnimationFrame(count)
}

/** Opens the input and draws; call it once. Answers the rate, Hz. */
async function open(methodIds: readonly string[], targetHz: number): Promise<number> {
  await openDevice()
  const { input, problem } = useRoom.getState()
  if (input === null) throw new Error(problem ?? 'no input')
  input.live.onStatus((told) => {
    status = told
  })
  input.live.onDropped(({ id, what }) => problems.push(`${id}: ${what}`))
  useRoom.subscribe(({ problem: now }, before) => {
    if (now !== null && now !== before.problem) problems.push(now)
  })
  createRoot(document.querySelector('#picture') as HTMLElement).render(
    createElement(LivePicture, {
      live: input.live,
      settings: { toleranceCents, claim: { ...claim, tolCents: toleranceCents }, lowestHz, highestHz, room: null },
      methods: methodIds.map((id) => ({ id, values: {} })),
      targetHz,
      targetTitle: 'A2',
      waiting: '',
      pluck: 0,
      foreign: '',
    }),
  )
  requestAnimationFrame(count)
  return input.rateHz
}

/** Looks for holes in what was heard since the last look; at most 20 s are kept, so look more often than that. */
async function lookForHoles(): Promise<void> {
  const snapshot = await freeze()
  if (snapshot === null) return
  const { startSample, samples, sampleRateHz } = snapshot
  if (lookedTo > 0) unseenSamples += Math.max(0, startSample - lookedTo)
  const fresh = samples.subarray(Math.max(0, lookedTo - startSample))
  if (fresh.length > 0) holeSamples += partFaults(fresh, sampleRateHz).holeSamples
  lookedTo = startSample + samples.length
}

const soak = {
  open,
  async look() {
    await lookForHoles()
    const level = newestLevel()
    return {
      atMs: performance.now(),
      frames,
      status,
      hearingLost: level?.lostSamples ?? Number.NaN,
      holeSamples,
      unseenSamples,
      problems,
    }
  },
}

export type Look = Awaited<ReturnType<typeof soak.look>>

declare global {
  interface Window {
    soak: typeof soak
  }
}
window.soak = soak
