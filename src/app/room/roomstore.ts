/**
 * What the Room page shows that changes at a person's pace: the input, the guided take, its figures. Sound, level and readings
 * stand elsewhere (levels.ts, live/): they change a hundred times as often.
 */
import { create } from 'zustand'
import type { Foreign } from '../../core/room/aimedwatch.ts'
import type { Guide } from '../../core/room/guide.ts'
import { beginGuide } from '../../core/room/guide.ts'
import type { NoiseFigures } from '../../core/room/noisetake.ts'
import type { RoomString } from '../../core/room/roomstring.ts'
import type { StringFigures } from '../../core/room/stringfigures.ts'
import { isAnother, type Verdict } from '../../core/room/verdict.ts'
import { noteOf } from '../../core/study/instrumentstrings.ts'
import type { StudyString } from '../../core/study/study.ts'
import type { Live } from '../../host/live.ts'
import { type HeardInput, type InputState, noInput } from './inputstate.ts'

export interface Judged {
  readonly figures: StringFigures
  readonly verdict: Verdict
}

export interface OpenInput extends HeardInput {
  readonly madeUp: boolean
  readonly live: Live
}

export interface RoomState extends InputState<OpenInput> {
  /** Id on the shelf of instruments; '': the first there. */
  readonly instrument: string
  readonly strings: readonly RoomString[]
  /** What is listened through, in the person's words. */
  readonly path: string
  readonly guide: Guide
  /** Of the take under way; null: nothing of it is kept yet. */
  readonly takeId: string | null
  readonly noise: NoiseFigures | null
  readonly judged: Readonly<Record<string, Judged>>
  /** Parts whose figures are being made. */
  readonly working: number
  /** What the live methods are aimed at: a string's id, the string that is found, or what the guide asks for. */
  readonly aim: string
  readonly found: string | null
  /** Another note than the string's that is aimed at; null: nothing that is sure. */
  readonly foreign: Foreign | null
  /** Plucks of it so far, those of other strings counted along. */
  readonly plucks: number
  /** What was just done, for the eye and the screen reader. */
  readonly said: string
}

export const aimGuide = 'guide'
export const aimFind = 'find'

export const useRoom = create<RoomState>(() => ({
  ...noInput,
  instrument: '',
  strings: [],
  path: 'pickup',
  guide: beginGuide([]),
  takeId: null,
  noise: null,
  judged: {},
  working: 0,
  aim: aimGuide,
  found: null,
  foreign: null,
  plucks: 0,
  said: '',
}))

/** The string that the live methods are told; null: none. */
export function aimedString({ aim, found, guide, strings }: RoomState): RoomString | null {
  const id = aim === aimGuide ? guide.asked : aim === aimFind ? found : aim
  return strings.find((string) => string.id === id) ?? null
}

/** Strings as the room's figures want them; a fret shortens the string and makes it stiffer. */
export const asRoomString = (string: StudyString): RoomString => ({
  id: string.id,
  title: noteOf(string),
  targetHz: string.targetHz,
  stiffness: Number(string.pluck.stiffness ?? 0) * 2 ** (Number(string.pluck.fret ?? 0) / 6),
})

/** The string's own figures; null: it was not plucked yet, or another note sounded in its place. */
export function ownFigures(judged: Readonly<Record<string, Judged>>, id: string): StringFigures | null {
  const own = judged[id]
  return own === undefined || isAnother(own.verdict) ? null : own.figures
}
