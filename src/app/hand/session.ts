/** Opens the input, follows the guide pluck by pluck, keeps every turn as it comes. The page shows the store and calls what stands here. */
import type { TurnPair } from '../../core/plan/handfit.ts'
import { beginHand, guidedHand, type HandEvent } from '../../core/plan/handguide.ts'
import type { WatchTold } from '../../core/plan/turnwatch.ts'
import { sentenceOf } from '../instruments/store.ts'
import { keepTurns, keptTurns } from '../plan/measuredhand.ts'
import { keepAwake } from '../room/awake.ts'
import { holdBench, releaseBench } from '../room/holdbench.ts'
import { setLevel, soundFlows } from '../room/levels.ts'
import { deviceSource } from '../room/sources.ts'
import type { FromHand } from './handmessages.ts'
import { type HandString, useHand } from './handstore.ts'
import { type HandHearing, openHandHearing } from './hearing.ts'

const { getState: get, setState: set } = useHand

interface Opened {
  readonly hearing: HandHearing
  /** False: it does not go on and must be opened anew. */
  resume(): Promise<boolean>
  close(): Promise<void>
}
let opened: Opened | null = null
/** A number makes late answers of an earlier input harmless; `strings` those of an earlier string. */
let token = 0
let strings = 0

/** Turns of an earlier visit are there again. */
export function startHand(): void {
  if (get().guide.pairs.length === 0) set({ guide: beginHand(keptTurns()) })
}

/** Turns of another string are turns of the same hand: they stay. */
export function chooseString(string: HandString): void {
  const before = get().string
  if (before?.id === string.id && before.noteHz === string.noteHz) return
  set({ string, guide: beginHand(get().guide.pairs), reading: false })
  if (opened === null) return
  strings++
  opened.hearing.tell({ kind: 'note', noteHz: string.noteHz })
}

/** Call it from a click or key. */
export async function openInput(): Promise<void> {
  await closeInput()
  const { string, device, channel } = get()
  if (string === null) return
  token++
  strings = 0
  const mine = token
  set({ opening: true, problem: null })
  holdBench()
  try {
    const source = await deviceSource(device, {
      onState: (state) => {
        const open = get().input
        if (mine === token && open !== null) {
          set({ input: { ...open, state }, problem: state.mend === null ? null : state.what })
        }
      },
      onDevices: (devices) => set({ devices }),
    })
    const { context, node, label, applied, notes, state } = source
    const hearing = await openHandHearing(node, channel, string.noteHz, (message) => {
      if (mine === token) heard(message)
    })
    const letSleep = keepAwake()
    const close = async (): Promise<void> => {
      hearing.close()
      letSleep()
      await source.close()
    }
    if (mine !== token) return await close()
    opened = { hearing, resume: () => source.resume(), close }
    await soundFlows()
    if (mine !== token) return
    set({ opening: false, input: { label, rateHz: context.sampleRate, shared: hearing.shared, applied, notes, state } })
  } catch (cause) {
    if (mine !== token) return
    releaseBench()
    set({ opening: false, problem: sentenceOf(cause) })
  }
}

/** What was measured stays. */
export async function closeInput(): Promise<void> {
  token++
  const closing = opened
  opened = null
  setLevel(null)
  set({ input: null, opening: false, reading: false, problem: null, guide: beginHand(get().guide.pairs) })
  await closing?.close()
  releaseBench()
}

/** What does not go on is opened anew. */
export async function resumeInput(): Promise<void> {
  const mine = opened
  if (mine === null || (await mine.resume())) return
  if (opened === mine) await openInput()
}

export const resetMeter = (): void => opened?.hearing.tell({ kind: 'reset-meter' })

function heard(message: FromHand): void {
  switch (message.kind) {
    case 'level':
      setLevel(message.level)
      break
    case 'told':
      if (message.ticket === strings) told(message.told)
      break
    case 'problem':
      set({ problem: `The input is not heard any more: ${message.what}. What was measured is still here.` })
  }
}

function told(one: WatchTold): void {
  // While the input opens, sound is lost and nobody was asked to pluck.
  if (get().input === null) return
  set({ reading: one.kind === 'onset' })
  if (one.kind !== 'onset') follow(one)
}

function follow(event: HandEvent): void {
  const { guide, string } = get()
  const next = guidedHand(guide, event, string?.centsPerDegree ?? Number.NaN)
  set({ guide: next })
  if (next.pairs !== guide.pairs) keep(next.pairs)
}

const keep = (pairs: readonly TurnPair[]): void => set({ unkept: !keepTurns(pairs) })

/** Forgets the last turn. */
export function redo(): void {
  if (get().guide.pairs.length > 0) follow({ kind: 'redo' })
}

export function clearAway(): void {
  set({ cleared: get().guide.pairs, guide: beginHand([]) })
  keep([])
}

export function bringBack(): void {
  const { cleared, guide } = get()
  const pairs = [...cleared, ...guide.pairs]
  set({ cleared: [], guide: beginHand(pairs) })
  keep(pairs)
}
