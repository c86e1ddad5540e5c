/**
 * The Room page's take: opens the input, follows the guide, keeps each part as it comes, asks for its figures, and tells the guide
 * what they say. The page shows the store and calls what stands here.
 */
import tapUrl from '../../../worklets/tap.ts?worker&url'
import type { Instrument } from '../../core/instruments/instrument.ts'
import { type Broken, beginGuide, type Guide, type GuideEvent, guided } from '../../core/room/guide.ts'
import type { RoomString } from '../../core/room/roomstring.ts'
import { type KeepWish, type KeptPart, noiseTakeS } from '../../core/room/takekeeper.ts'
import { noteOf } from '../../core/study/instrumentstrings.ts'
import type { StudyString } from '../../core/study/study.ts'
import { openCapture } from '../../host/capture.ts'
import type { AppliedSettings } from '../../host/devices.ts'
import { openLive } from '../../host/live.ts'
import type { Snapshot } from '../../host/livemessages.ts'
import { browserLivePort } from '../../host/liveport.ts'
import { sentenceOf } from '../instruments/store.ts'
import { appVersion } from '../run/version.ts'
import { figuresOf } from './figures.ts'
import { openHearing, type RoomHearing } from './hearing.ts'
import type { FromHearing } from './hearingmessages.ts'
import { holdBench, releaseBench } from './holdbench.ts'
import { newestLevel, setLevel } from './levels.ts'
import { openMadeUp } from './madeup.ts'
import { aimedString, aimFind, type OpenInput, type RoomState, useRoom } from './roomstore.ts'
import { addPart, beginTake, takeById, useTakes } from './takes.ts'

const { getState: get, setState: set } = useRoom

/** The input that is open, or null; a number makes late answers of an earlier one harmless. */
interface Opened {
  readonly hearing: RoomHearing
  /** The made-up room and hand do what is asked for; of a device a person does. */
  damp(): void
  pluck(index: number): void
  resume(): Promise<void>
  close(): Promise<void>
}
let opened: Opened | null = null
let token = 0
let instrumentTitle = ''
/** Longer than a pluck is kept. */
const againMs = 6000
/** All that the live worker keeps. */
const frozenS = 20
let studyStrings: readonly StudyString[] = []

/** Strings as the room's figures want them; a fret shortens the string and makes it stiffer. */
const asRoomString = (string: StudyString): RoomString => ({
  id: string.id,
  title: noteOf(string),
  targetHz: string.targetHz,
  stiffness: Number(string.pluck.stiffness ?? 0) * 2 ** (Number(string.pluck.fret ?? 0) / 6),
})

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
  const { strings, input, guide } = get()
  const ids = strings.map(({ id }) => id)
  set({ guide: { ...beginGuide(ids), ticket: guide.ticket + 1 }, takeId: null, noise: null, judged: {}, said: '' })
  if (input !== null && guide.step !== 'reminder') {
    tell({ kind: 'advance' })
    tell({ kind: 'listening', on: input.state.kind === 'listening' })
  }
}

/** Call it from a click or key. */
export async function openDevice(): Promise<void> {
  await open(async () => {
    const { device } = get()
    const capture = await openCapture(device)
    const found = await navigator.mediaDevices.enumerateDevices()
    set({
      devices: found
        .filter(({ kind }) => kind === 'audioinput')
        .map(({ deviceId, label }) => ({ id: deviceId, label: label === '' ? 'input without a name' : label })),
    })
    capture.onState((state) => {
      const { input } = get()
      if (input === null) return
      set({ input: { ...input, state }, problem: state.kind === 'listening' ? null : state.what })
      tell({ kind: 'listening', on: state.kind === 'listening' })
    })
    const { context, input, label, applied, notes, state } = capture
    return {
      context,
      node: input,
      label,
      applied,
      notes,
      state,
      madeUp: false,
      ...pickOf(capture),
      damp: () => {},
      pluck: () => {},
    }
  })
}

const pickOf = ({ resume, close }: { resume(): Promise<void>; close(): Promise<void> }) => ({ resume, close })

/** Call it from a click or key. */
export async function openInvented(instrument: Instrument): Promise<void> {
  await open(async () => {
    const made = await openMadeUp(instrument.kind, studyStrings)
    return {
      context: made.context,
      node: made.input,
      label: 'Made-up room',
      applied: null,
      notes: [],
      state: { kind: 'listening', what: 'Listening.' },
      madeUp: true,
      damp: () => made.damp(),
      pluck: (index) => made.pluck(index),
      resume: () => made.context.resume(),
      close: () => made.close(),
    }
  })
}

interface Source extends Omit<OpenInput, 'live' | 'rateHz' | 'shared'> {
  readonly context: AudioContext
  readonly node: AudioNode
  damp(): void
  pluck(index: number): void
  resume(): Promise<void>
  close(): Promise<void>
}

async function open(openSource: () => Promise<Source>): Promise<void> {
  await closeInput()
  token++
  const mine = token
  set({ opening: true, problem: null })
  holdBench()
  try {
    const source = await openSource()
    const { context, node, label, madeUp, applied, notes, state } = source
    const { channel } = get()
    const hearing = await openHearing(node, channel, (message) => {
      if (mine === token) heard(message)
    })
    const live = await openLive(tapUrl, node, browserLivePort, { channel })
    opened = {
      hearing,
      damp: () => source.damp(),
      pluck: (index) => source.pluck(index),
      resume: () => source.resume(),
      close: async () => {
        hearing.close()
        await live.close()
        await source.close()
      },
    }
    const input = { label, madeUp, rateHz: context.sampleRate, shared: hearing.shared, applied, notes, state, live }
    set({ input, aim: get().aim === aimFind ? 'guide' : get().aim })
    void keepAwake()
    await flowing()
    if (mine !== token) return
    set({ opening: false })
    tell({ kind: 'listening', on: state.kind === 'listening' })
  } catch (cause) {
    if (mine !== token) return
    releaseBench()
    set({ opening: false, problem: sentenceOf(cause) })
  }
}

/** Levels come ten times a second: four without a loss between them. */
const quietLooks = 4
const lookMs = 100
const mostLooks = 20

/** Sound is often lost while an input and its listeners start, which is no fault of a take: resolves when it flows, or after 2 s. */
async function flowing(): Promise<void> {
  let [lost, quiet] = [Number.NaN, 0]
  for (let look = 0; look < mostLooks && quiet < quietLooks; look++) {
    await new Promise((resolve) => setTimeout(resolve, lookMs))
    const now = newestLevel()?.lostSamples ?? Number.NaN
    quiet = now === lost ? quiet + 1 : 0
    lost = now
  }
}

/** What was kept stays. */
export async function closeInput(): Promise<void> {
  token++
  const closing = opened
  opened = null
  setLevel(null)
  set({ input: null, problem: null })
  tell({ kind: 'listening', on: false })
  await closing?.close()
  releaseBench()
}

export async function resumeInput(): Promise<void> {
  await opened?.resume()
}

export const resetMeter = (): void => opened?.hearing.tell({ kind: 'reset-meter' })

/** null: the string is not looked for. */
function findTheString(on: boolean): void {
  const { strings, noise } = get()
  set({ found: null })
  opened?.hearing.tell({ kind: 'find', find: on ? { strings, room: noise } : null })
}

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
  if (guide.step === 'noise') opened?.damp()
  opened?.hearing.tell({ kind: 'ask', ticket: guide.ticket, wish: wishOf(get()) })
  if (guide.step === 'pluck' && guide.ticket !== before.ticket) pluckInvented(guide.ticket)
}

/** A made-up string is plucked again while it is still asked for, as a person would. */
function pluckInvented(ticket: number): void {
  const { guide, input, strings } = get()
  if (guide.ticket !== ticket || guide.step !== 'pluck' || input?.madeUp !== true) return
  opened?.pluck(strings.findIndex(({ id }) => id === guide.asked))
  setTimeout(() => pluckInvented(ticket), againMs)
}

function wishOf({ guide, strings, noise }: RoomState): KeepWish | null {
  if (guide.step === 'noise') return { kind: 'noise', lengthS: noiseTakeS }
  const string = strings.find(({ id }) => id === guide.asked)
  if (guide.step !== 'pluck' || string === undefined) return null
  return { kind: 'pluck', targetHz: string.targetHz, room: noise?.spectrum ?? null }
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
    case 'problem':
      set({ problem: `The input is not heard any more: ${message.what}. What was kept is still here.` })
  }
}

const brokenBy = ({ lostSamples, overloaded, silent }: KeptPart): Broken | null =>
  lostSamples > 0 ? 'lost' : silent ? 'silent' : overloaded ? 'overload' : null

async function keep(ticket: number, part: KeptPart): Promise<void> {
  const { guide, strings, input } = get()
  if (ticket !== guide.ticket || input === null) return
  const string = strings.find(({ id }) => id === guide.asked) ?? null
  const broken = brokenBy(part)
  tell({ kind: 'kept', ticket, broken })
  // A broken part is asked for again: nobody would want it back.
  if (broken !== null) return
  const takeId = get().takeId ?? beginNew(input)
  const { samples, startSample } = part
  set({ said: string === null ? 'Noise kept.' : `${string.title} kept.` })
  const common = { startSample, lostSamples: 0, overloaded: false }
  void addPart(
    takeId,
    string === null
      ? { ...common, name: 'noise', kind: 'noise', string: null, targetHz: null }
      : { ...common, ...pluckPart(string.id), targetHz: string.targetHz },
    samples,
  )
  if (string === null) await judgeNoise(takeId, samples, input.rateHz)
  else await judgeString(takeId, string, samples, input.rateHz)
}

/** Named by its place: ids of strings hold what file names do not. */
const pluckPart = (id: string) => ({
  name: `string-${get().strings.findIndex((string) => string.id === id) + 1}`,
  kind: 'pluck' as const,
  string: id,
})

function beginNew({ rateHz, madeUp, applied }: OpenInput): string {
  const { path, instrument } = get()
  const { id } = beginTake({
    title: `${instrumentTitle}, ${madeUp ? 'made up' : path}`,
    sampleRateHz: rateHz,
    instrument,
    path: madeUp ? 'made up' : path,
    processed: applied === null ? 'no' : processedAs(applied),
    madeUp,
    version: appVersion,
  })
  set({ takeId: id })
  return id
}

function processedAs({ echo, noise, gain }: AppliedSettings): 'no' | 'yes' | 'unknown' {
  const all = [echo, noise, gain]
  if (all.includes('on')) return 'yes'
  return all.includes('unknown') ? 'unknown' : 'no'
}

async function judgeNoise(take: string, samples: Float32Array, sampleRateHz: number): Promise<void> {
  set(({ working }) => ({ working: working + 1 }))
  const answer = await figuresOf({ kind: 'noise', take, samples, sampleRateHz, strings: get().strings })
  set(({ working }) => ({ working: working - 1 }))
  if (get().takeId !== take) return
  if (answer.kind !== 'noise') {
    if (answer.kind === 'problem') set({ problem: `The noise take has no figures: ${answer.what}` })
    return
  }
  set({ noise: answer.noise })
  // The first string was asked for before the room was known; from here on the onset is looked for over it.
  const { guide } = get()
  if (guide.step === 'pluck') opened?.hearing.tell({ kind: 'ask', ticket: guide.ticket, wish: wishOf(get()) })
  // Strings that were plucked before the noise was done over stand over the new one from now on.
  const kept = await takeById(take)
  for (const part of kept?.head.parts ?? []) {
    const string = get().strings.find(({ id }) => id === part.string)
    const own = kept?.samples.get(part.name)
    const guidedPart = part.name.startsWith('string-')
    if (guidedPart && string !== undefined && own !== undefined) await judgeString(take, string, own, sampleRateHz)
  }
}

async function judgeString(
  take: string,
  string: RoomString,
  samples: Float32Array,
  sampleRateHz: number,
): Promise<void> {
  set(({ working }) => ({ working: working + 1 }))
  const answer = await figuresOf({ kind: 'string', take, samples, sampleRateHz, string })
  set(({ working }) => ({ working: working - 1 }))
  if (get().takeId !== take) return
  if (answer.kind !== 'string') {
    if (answer.kind === 'problem') set({ problem: `${string.title} has no figures: ${answer.what}` })
    return
  }
  const { figures, verdict, found } = answer
  set(({ judged }) => ({ judged: { ...judged, [string.id]: { figures, verdict } } }))
  if (found.id !== null && found.id !== string.id) {
    tell({ kind: 'refused', string: string.id, why: 'other-string', other: found.id })
  } else if (verdict.kind === 'not-heard') {
    tell({ kind: 'refused', string: string.id, why: 'not-heard', other: null })
  }
}

/** A screen that goes dark takes the page's sound with it on many machines. Refused on some: then it goes dark. */
async function keepAwake(): Promise<void> {
  try {
    await navigator.wakeLock?.request('screen')
  } catch {
    // Nothing is lost but light.
  }
}

/** The last seconds of what was heard; null: no input is open. */
export async function freeze(): Promise<(Snapshot & { readonly sampleRateHz: number }) | null> {
  const { input } = get()
  const snapshot = (await input?.live.snapshot(frozenS)) ?? null
  return input === null || snapshot === null ? null : { ...snapshot, sampleRateHz: input.rateHz }
}

/** Keeps the last seconds beside the take's parts: a pluck of the string that is aimed at, or noise. */
export async function keepLast(): Promise<void> {
  const { input } = get()
  const snapshot = await freeze()
  if (input === null || snapshot === null || snapshot.samples.length === 0) return
  const string = aimedString(get())
  const takeId = get().takeId ?? beginNew(input)
  const own = useTakes.getState().heads.find(({ id }) => id === takeId)
  const number = 1 + (own?.parts.filter(({ name }) => name.startsWith('extra-')).length ?? 0)
  const common = { name: `extra-${number}`, startSample: snapshot.startSample, lostSamples: 0, overloaded: false }
  const kind = string === null ? ('noise' as const) : ('pluck' as const)
  const wish = { ...common, kind, string: string?.id ?? null, targetHz: string?.targetHz ?? null }
  const kept = await addPart(takeId, wish, snapshot.samples)
  const seconds = (snapshot.samples.length / input.rateHz).toFixed(0)
  set({ said: kept === 'kept' ? `The last ${seconds} s are kept.` : `The last ${seconds} s are in memory only.` })
}

export function aimAt(aim: string): void {
  if (get().aim === aimFind || aim === aimFind) findTheString(aim === aimFind)
  set({ aim })
}

export const stringsOfStudy = (): readonly StudyString[] => studyStrings
