/**
 * The Room page's take: opens the input, follows the guide, keeps each part as it comes, asks for its figures, and tells the guide
 * what they say. The page shows the store and calls what stands here.
 */
import tapUrl from '../../../worklets/tap.ts?worker&url'
import type { Instrument } from '../../core/instruments/instrument.ts'
import { beginGuide, type Guide, type GuideEvent, guided } from '../../core/room/guide.ts'
import type { RoomString } from '../../core/room/roomstring.ts'
import type { KeptPart } from '../../core/room/takekeeper.ts'
import type { StudyString } from '../../core/study/study.ts'
import { isHeard } from '../../host/capturestate.ts'
import { openLive } from '../../host/live.ts'
import type { Snapshot } from '../../host/livemessages.ts'
import { browserLivePort } from '../../host/liveport.ts'
import { sentenceOf } from '../instruments/store.ts'
import { followAim, heardForeign, plucked } from './aiming.ts'
import { keepAwake } from './awake.ts'
import { openHearing, type RoomHearing } from './hearing.ts'
import type { FromHearing } from './hearingmessages.ts'
import { holdBench, releaseBench } from './holdbench.ts'
import { judgeNoise, judgeString } from './judging.ts'
import { addExtra, addGuided, brokenBy, takeUnderWay, wishOf } from './keeping.ts'
import { forgetLast, inputStands, lastSeconds } from './lastseconds.ts'
import { setLevel, soundFlows } from './levels.ts'
import { aimedString, aimFind, asRoomString, type OpenInput, useRoom } from './roomstore.ts'
import { deviceSource, inventedSource, type Source } from './sources.ts'
import { takeById } from './takes.ts'

const { getState: get, setState: set } = useRoom

/** The input that is open, or null; a number makes late answers of an earlier one harmless. */
interface Opened {
  readonly hearing: RoomHearing
  readonly source: Source
  /** The same device once more, in a context of its own. */
  again(): Promise<void>
  close(): Promise<void>
}
let opened: Opened | null = null
let token = 0
let instrumentTitle = ''
/** Which input the take under way comes from: two inputs' sound is never set against each other in one take. */
let takeInput = ''
/** Longer than a pluck is kept. */
const againMs = 6000
let studyStrings: readonly StudyString[] = []

/** Another instrument begins another take; the same one, changed or not, leaves a take that is under way alone. */
export function chooseInstrument(instrument: Instrument, strings: readonly StudyString[]): void {
  if (get().instrument === instrument.id && get().strings.length === strings.length) return
  instrumentTitle = instrument.title
  studyStrings = strings
  set({ instrument: instrument.id, strings: strings.map(asRoomString) })
  newTake()
}

/** Forgets nothing that was kept: the next part begins a take of its own. */
export function newTake(): void {
  const { input, guide } = get()
  beginAnew()
  if (input !== null && guide.step !== 'reminder') {
    tell({ kind: 'advance' })
    tell({ kind: 'listening', on: isHeard(input.state) })
  }
}

function beginAnew(): void {
  const { strings, guide } = get()
  const ids = strings.map(({ id }) => id)
  set({ guide: { ...beginGuide(ids), ticket: guide.ticket + 1 }, takeId: null, noise: null, judged: {}, said: '' })
}

/** Call it from a click or key. */
export async function openDevice(wanted = get().device): Promise<void> {
  await open(
    () =>
      deviceSource(wanted, {
        onDevices: (devices) => set({ devices }),
        onState(state) {
          const { input } = get()
          if (input === null) return
          inputStands(input.live, state.kind)
          set({ input: { ...input, state }, problem: state.mend === null ? null : state.what })
          tell({ kind: 'listening', on: isHeard(state) })
        },
      }),
    (source) => openDevice(source.wanted),
  )
}

/** Call it from a click or key. */
export async function openInvented(instrument: Instrument): Promise<void> {
  await open(
    () => inventedSource(instrument, studyStrings),
    () => openInvented(instrument),
  )
}

async function open(openSource: () => Promise<Source>, again: (source: Source) => Promise<void>): Promise<void> {
  await closeInput()
  token++
  const mine = token
  set({ opening: true, problem: null })
  holdBench()
  let closing: (() => Promise<void>) | null = null
  try {
    const source = await openSource()
    closing = () => source.close()
    const { context, node, label, madeUp, applied, notes } = source
    const { channel } = get()
    const hearing = await openHearing(node, channel, (message) => {
      if (mine === token) heard(message)
    })
    closing = async () => {
      hearing.close()
      await source.close()
    }
    const live = await openLive(tapUrl, node, browserLivePort, { channel })
    live.onProblem((what) => {
      if (mine === token) set({ problem: `The methods hear nothing any more: ${what}. What was kept is still here.` })
    })
    const letDark = keepAwake()
    const follow = followAim(hearing)
    closing = async () => {
      letDark()
      follow()
      hearing.close()
      await live.close()
      await source.close()
    }
    if (mine !== token) {
      await closing()
      return
    }
    opened = { hearing, source, again: () => again(source), close: closing }
    const rateHz = context.sampleRate
    const input = { label, madeUp, rateHz, shared: hearing.shared, applied, notes, state: source.state, live }
    set({ input, aim: get().aim === aimFind ? 'guide' : get().aim })
    belongs(input)
    await soundFlows()
    if (mine !== token) return
    const { state } = source
    set({ opening: false, ...(state.mend === null ? {} : { problem: state.what }) })
    tell({ kind: 'listening', on: isHeard(state) })
  } catch (cause) {
    await closing?.()
    if (mine !== token) return
    releaseBench()
    set({ opening: false, problem: sentenceOf(cause) })
  }
}

/** What was kept of another input stays kept, as a take of its own. */
function belongs({ label, rateHz, madeUp }: OpenInput): void {
  const own = [label, rateHz, madeUp, get().channel].join()
  const other = get().takeId !== null && own !== takeInput
  takeInput = own
  if (!other) return
  beginAnew()
  tell({ kind: 'advance' })
  set({ said: 'Another input: a new take begins. The last one is kept.' })
}

/** What was kept stays. */
export async function closeInput(): Promise<void> {
  token++
  const closing = opened
  opened = null
  forgetLast()
  setLevel(null)
  set({ input: null, problem: null, foreign: null })
  tell({ kind: 'listening', on: false })
  await closing?.close()
  releaseBench()
}

/** Call it from a click: the sound goes on as it was, or the same device is opened anew. What was kept stays. */
export async function resumeInput(): Promise<void> {
  const mine = opened
  if (mine === null || (await mine.source.resume())) return
  if (opened === mine) await mine.again()
}

export const resetMeter = (): void => opened?.hearing.tell({ kind: 'reset-meter' })

/** Tells the guide and does what it then asks for. */
export function tell(event: GuideEvent): void {
  const before = get().guide
  const told = guided(before, event)
  if (told === before) return
  // Nothing can be asked of an input that is not open.
  const guide = get().input === null ? guided(told, { kind: 'listening', on: false }) : told
  set({ guide })
  follow(before, guide)
}

function follow(before: Guide, guide: Guide): void {
  if (guide.step === 'keep' && guide.forced && !before.forced) opened?.hearing.tell({ kind: 'now' })
  if (guide.ticket === before.ticket && guide.step === before.step) return
  if (guide.step === 'keep') return
  if (guide.step === 'noise') opened?.source.damp()
  opened?.hearing.tell({ kind: 'ask', ticket: guide.ticket, wish: wishOf(get()) })
  if (guide.step === 'pluck' && guide.ticket !== before.ticket) pluckInvented(guide.ticket)
}

/** A made-up string is plucked again while it is still asked for, as a person would. */
function pluckInvented(ticket: number): void {
  const { guide, input, strings } = get()
  if (guide.ticket !== ticket || guide.step !== 'pluck' || input?.madeUp !== true) return
  opened?.source.pluck(strings.findIndex(({ id }) => id === guide.asked))
  setTimeout(() => pluckInvented(ticket), againMs)
}

function heard(message: FromHearing): void {
  switch (message.kind) {
    case 'level':
      setLevel(message.level)
      break
    case 'onset':
      tell({ kind: 'onset', ticket: message.ticket })
      break
    case 'kept':
      void keep(message.ticket, message.part)
      break
    case 'found':
      set({ found: message.id })
      break
    case 'plucked':
      plucked(message.string)
      break
    case 'foreign':
      heardForeign(message.string, message.foreign)
      break
    case 'problem':
      set({ problem: `The input is not heard any more: ${message.what}. What was kept is still here.` })
  }
}

async function keep(ticket: number, part: KeptPart): Promise<void> {
  const { guide, strings, input } = get()
  if (ticket !== guide.ticket || input === null) return
  const string = strings.find(({ id }) => id === guide.asked) ?? null
  const broken = brokenBy(part)
  tell({ kind: 'kept', ticket, broken })
  // A broken part is asked for again: nobody would want it back.
  if (broken !== null) return
  const takeId = takeUnderWay(input, instrumentTitle)
  set({ said: string === null ? 'Noise kept.' : `${string.title} kept.` })
  void addGuided(takeId, string, part)
  if (string === null) await noiseKept(takeId, part.samples, input.rateHz)
  else await stringKept(takeId, string, part.samples, input.rateHz)
}

async function noiseKept(take: string, samples: Float32Array, sampleRateHz: number): Promise<void> {
  if (!(await judgeNoise(take, samples, sampleRateHz))) return
  // The first string was asked for before the room was known; from here on the onset is looked for over it.
  const { guide } = get()
  if (guide.step === 'pluck') opened?.hearing.tell({ kind: 'ask', ticket: guide.ticket, wish: wishOf(get()) })
  // Strings that were plucked before the noise was done over stand over the new one from now on.
  const kept = await takeById(take)
  for (const part of kept?.head.parts ?? []) {
    const string = get().strings.find(({ id }) => id === part.string)
    const own = kept?.samples.get(part.name)
    const guidedPart = part.name.startsWith('string-')
    if (guidedPart && string !== undefined && own !== undefined) await stringKept(take, string, own, sampleRateHz)
  }
}

async function stringKept(
  take: string,
  string: RoomString,
  samples: Float32Array,
  sampleRateHz: number,
): Promise<void> {
  const refusal = await judgeString(take, string, samples, sampleRateHz)
  if (refusal !== null) tell(refusal)
}

/** The last seconds of what was heard; null: no input is open. */
export async function freeze(): Promise<(Snapshot & { readonly sampleRateHz: number }) | null> {
  const { input } = get()
  const snapshot = input === null ? null : await lastSeconds(input.live)
  return input === null || snapshot === null ? null : { ...snapshot, sampleRateHz: input.rateHz }
}

/** Keeps the last seconds beside the take's parts: a pluck of the string that is aimed at, or noise. */
export async function keepLast(): Promise<void> {
  const { input } = get()
  const snapshot = await freeze()
  if (input === null || snapshot === null || snapshot.samples.length === 0) return
  const string = aimedString(get())
  const takeId = takeUnderWay(input, instrumentTitle)
  set({ said: await addExtra(takeId, string, snapshot, input.rateHz) })
}

export const stringsOfStudy = (): readonly StudyString[] => studyStrings
