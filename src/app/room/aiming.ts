/**
 * What the worker that hears listens for beside parts to be kept: the string that is looked for, and the one that the live methods
 * are aimed at, as either changes or the room is learnt. What it hears of the second stands in the store.
 */
import type { Foreign } from '../../core/room/aimedwatch.ts'
import type { RoomHearing } from './hearing.ts'
import { aimedString, aimFind, type RoomState, useRoom } from './roomstore.ts'

const { getState: get, setState: set } = useRoom

/** Tells it now and at every change; answers how to stop. */
export function followAim(hearing: RoomHearing): () => void {
  let before = {
    finding: false,
    aimed: null as ReturnType<typeof aimedString>,
    strings: get().strings,
    room: get().noise,
  }
  const follow = (state: RoomState): void => {
    const { strings, noise: room } = state
    const now = { finding: state.aim === aimFind, aimed: aimedString(state), strings, room }
    const { finding, aimed } = now
    const others = strings !== before.strings || room !== before.room
    const findsAnew = finding !== before.finding || (finding && others)
    const aimsAnew = aimed !== before.aimed || (aimed !== null && others)
    before = now
    if (findsAnew) hearing.tell({ kind: 'find', find: finding ? { strings, room } : null })
    if (!aimsAnew) return
    hearing.tell({ kind: 'aim', aim: aimed === null ? null : { string: aimed, strings, room } })
    if (state.foreign !== null) set({ foreign: null })
  }
  follow(get())
  return useRoom.subscribe(follow)
}

export const aimAt = (aim: string): void => set({ aim, found: null })

/** An answer about a string that is no longer aimed at is none. */
const isAimed = (string: string): boolean => aimedString(get())?.id === string

export function plucked(string: string): void {
  if (isAimed(string)) set(({ plucks }) => ({ plucks: plucks + 1 }))
}

export function heardForeign(string: string, foreign: Foreign | null): void {
  if (isAimed(string)) set({ foreign })
}
