/**
 * An attempt at an exercise from its first pluck to its score, or the replay of one: keeps the log, the virtual pegs and the sound
 * in step. One at a time. What changes every frame is told to whoever asks by `onFrame`; the rest is in the store.
 */
import type { Exercise } from '../../core/drill/exercise.ts'
import { type Action, appended, type Log } from '../../core/drill/log.ts'
import { highestCents } from '../../core/drill/peg.ts'
import { type DrillScore, scoreOf } from '../../core/drill/score.ts'
import { Session } from '../../core/drill/session.ts'
import { centsBetween } from '../../core/maths/units.ts'
import { Problem } from '../../core/problem.ts'
import { studyDefaults } from '../../core/study/presets.ts'
import { type Audio, openAudio } from '../../host/audio.ts'
import { useDrill } from './drillstore.ts'
import { type Ear, openEar } from './ear.ts'
import { type Kept, keepAttempt, keptAttempts } from './keep.ts'
import { type Preparing, prepare } from './prepare.ts'

interface Running {
  readonly exercise: Exercise
  readonly seed: number
  readonly session: Session
  readonly ear: Ear
  readonly preparing: Preparing
  readonly startedMs: number
  log: Log
  /** What each method claimed last since the last pluck or turn. */
  claimed: Map<number, { readonly inside: boolean; readonly atS: number }>
  /** What is still to be done of a replay; null: a person acts. */
  readonly script: Action[] | null
}

let audio: Audio | null = null
let running: Running | null = null
/** Of what was started last: whatever belongs to an older one is dropped. */
let ticket = 0
let frame = 0

export interface Frame {
  readonly ear: Ear
  readonly exercise: Exercise
  readonly method: number
  readonly elapsedS: number
}

const watchers = new Set<(frame: Frame | null) => void>()

/** Called at every frame while an attempt runs, and with null when there is none. Answers how to stop. */
export function onFrame(watch: (frame: Frame | null) => void): () => void {
  watchers.add(watch)
  watch(null)
  return () => watchers.delete(watch)
}

const seedValues = 4294967296
const anySeed = (): number => Math.floor(Math.random() * seedValues)

/** Shows another exercise; what runs is given up. */
export function choose(exercise: Exercise): void {
  stop()
  useDrill.setState({ exercise, phase: 'ready', ...clean(), score: null })
}

const clean = () => ({ inHand: -1, method: 0, set: 0, done: [], problem: null, note: '', best: null })

/** Call it from a click or key. */
export const start = (seed: number = anySeed()): Promise<void> => begin(useDrill.getState().exercise, seed, null)

/** Call it from a click or key. */
export const replay = ({ exercise, seed, log }: Kept): Promise<void> => begin(exercise, seed, log)

async function begin(exercise: Exercise, seed: number, script: Log | null): Promise<void> {
  stop()
  const own = ticket
  useDrill.setState({ exercise, phase: 'opening', ...clean(), score: null })
  try {
    audio ??= openAudio()
    const opened = audio
    opened.setLevelDb(useDrill.getState().levelDb)
    const resuming = opened.resume()
    const preparing = prepare(exercise, seed, opened.context.sampleRate)
    const room = await preparing.room
    if (own !== ticket) return preparing.cancel()
    if (!(await resuming)) throw new Problem('The browser holds the sound back. Start again.', '')
    const ear = await openEar(opened, exercise, seed, room, (what) => {
      if (own === ticket) useDrill.setState({ problem: what })
    })
    if (own !== ticket) {
      preparing.cancel()
      return ear.close()
    }
    ear.setSound(useDrill.getState().sound)
    const session = new Session(exercise, seed)
    running = {
      ...{ exercise, seed, session, ear, preparing, startedMs: performance.now() },
      ...{ log: [], claimed: new Map(), script: script === null ? null : [...script] },
    }
    useDrill.setState({ phase: script === null ? 'running' : 'replaying', done: session.strings.map(() => false) })
    preparing.best.then(
      (best) => {
        if (own === ticket) useDrill.setState({ best })
      },
      () => undefined,
    )
    frame = requestAnimationFrame(tick)
  } catch (cause) {
    if (own === ticket)
      useDrill.setState({ phase: 'ready', problem: cause instanceof Problem ? cause.sentence : String(cause) })
  }
}

/** Gives up what runs. */
export function stop(): void {
  ticket++
  cancelAnimationFrame(frame)
  running?.ear.close()
  running?.preparing.cancel()
  running = null
  for (const watch of watchers) watch(null)
}

/** The page goes: nothing of it sounds on. */
export function leave(): void {
  stop()
  void audio?.close()
  audio = null
  useDrill.setState({ phase: 'ready', ...clean() })
}

function tick(): void {
  const now = running
  if (now === null) return
  frame = requestAnimationFrame(tick)
  now.ear.update()
  const elapsedS = elapsed(now)
  const { clockS } = now.exercise
  if (now.script === null) {
    listen(now, elapsedS)
    if (clockS > 0 && elapsedS >= clockS) act({ kind: 'finish', atS: clockS })
  } else {
    while (running === now && now.script.length > 0 && now.script[0].atS <= elapsedS) act(now.script.shift() as Action)
  }
  if (running !== now) return
  for (const watch of watchers) watch({ ear: now.ear, exercise: now.exercise, method: now.session.method, elapsedS })
}

const elapsed = ({ startedMs }: Running): number => (performance.now() - startedMs) / 1000

/**
 * What the method in use shows while it is steady becomes part of the log: at once, and again when it has come to stand on the other
 * side of the let-go. A reading settles while the pluck's own glide dies away, and a person acts by what stands there then.
 */
function listen(now: Running, atS: number): void {
  const { session, ear, claimed, exercise } = now
  const { inHand, method } = session
  const row = ear.rows[method]
  const letGoCents = exercise.methods[method]?.letGoCents ?? 0
  if (inHand < 0 || row === undefined || Number.isNaN(row.steadySinceS) || !(row.f0Hz > 0)) return
  const cents = centsBetween(row.f0Hz, ear.targetHz)
  const inside = Math.abs(cents) <= letGoCents
  const last = claimed.get(method)
  if (last !== undefined && (last.inside === inside || atS - last.atS < studyDefaults.claim.holdS)) return
  claimed.set(method, { inside, atS })
  act({ kind: 'claim', atS, string: inHand, method, cents })
}

function act(action: Action): void {
  const now = running
  if (now === null) return
  const { session, ear } = now
  const before = session.inHand
  const turned = session.apply(action)
  now.log = appended(now.log, action)
  if (action.kind === 'pluck') {
    const { plucks } = session.standings[action.string]
    ear.pluck(action.string, session.residualCents(action.string), plucks - 1)
    now.claimed = new Map()
  } else if (turned !== null && turned.windDeg !== 0) {
    ear.turn(session.residualCents(session.inHand < 0 ? before : session.inHand))
    now.claimed = new Map()
  } else if (session.inHand < 0 && before >= 0) {
    ear.turn(session.residualCents(before))
  }
  const { inHand, method, set } = session
  const known = useDrill.getState()
  const done = session.strings.map((_, at) => session.done(at))
  const changed = known.inHand !== inHand || known.method !== method || known.set !== set
  if (changed || done.some((one, at) => one !== known.done[at])) useDrill.setState({ inHand, method, set, done })
  if (action.kind === 'finish') ended(now)
}

const personActs = (): Running | null => (running !== null && running.script === null ? running : null)

/** Plucks a string; without one, the one in hand, or the next that is not done. */
export function pluck(string: number | null = null): void {
  const now = personActs()
  if (now === null) return
  const { session } = now
  const here = session.strings.flatMap(({ set }, at) => (set === session.set ? [at] : []))
  const next = string ?? (session.inHand >= 0 ? session.inHand : (here.find((at) => !session.done(at)) ?? here[0] ?? 0))
  if (session.strings[next]?.set !== session.set) {
    useDrill.setState({ note: 'That string is on the other instrument.' })
    return
  }
  useDrill.setState({ note: '' })
  act({ kind: 'pluck', atS: elapsed(now), string: next })
}

/** Turns the peg of the string in hand. Answers the degrees that the button moved. */
export function turn(degrees: number): number {
  const now = personActs()
  if (now === null || degrees === 0) return 0
  const { session } = now
  const string = session.inHand
  if (string < 0) {
    useDrill.setState({ note: 'Pluck a string first.' })
    return 0
  }
  const { buttonDeg: moved, refused } = session.reach(string, degrees)
  const note = !refused ? '' : degrees > 0 ? noFurtherUp : 'Let down no further: the string hangs loose.'
  if (note !== useDrill.getState().note) useDrill.setState({ note })
  if (moved !== 0) act({ kind: 'turn', atS: elapsed(now), string, degrees: moved })
  return moved
}

const noFurtherUp = `Wound no further: it stands ${highestCents} c sharp. There a real string may break: mind your eyes.`

export function switchMethod(method: number | null = null): void {
  const now = personActs()
  if (now === null) return
  const count = now.exercise.methods.length
  const next = method ?? (now.session.method + 1) % count
  if (next !== now.session.method && next < count) act({ kind: 'method', atS: elapsed(now), method: next })
}

export function letGo(): void {
  const now = personActs()
  if (now === null || now.session.inHand < 0) return
  act({ kind: 'let-go', atS: elapsed(now), string: now.session.inHand })
}

/** The next instrument, or the end. */
export function goOn(): void {
  const now = personActs()
  if (now === null) return
  if (now.session.set + 1 < now.exercise.sets.length) act({ kind: 'change', atS: elapsed(now) })
  else act({ kind: 'finish', atS: elapsed(now) })
}

/** The sound ends at once; the score comes when the best way is known. */
function ended(now: Running): void {
  const own = ticket
  cancelAnimationFrame(frame)
  now.ear.close()
  running = null
  useDrill.setState({ phase: 'done' })
  now.preparing.best.then(
    (best) => {
      if (own !== ticket) return
      const score = scoreOf(now.exercise, now.seed, now.log, best)
      useDrill.setState({ best, score })
      if (now.script === null) void keep(now, score)
    },
    (cause: unknown) => {
      if (own === ticket) useDrill.setState({ problem: `The best way could not be worked out: ${String(cause)}` })
    },
  )
}

async function keep({ exercise, seed, log }: Running, { lostS, lostCents, passed }: DrillScore): Promise<void> {
  const kept: Kept = { exercise, seed, log, lostS, lostCents, passed, at: Date.now() }
  useDrill.setState({ kept: [...useDrill.getState().kept, kept] })
  if (!(await keepAttempt(kept))) useDrill.setState({ refused: true })
}

let fetched = false

/** Once a visit. */
export async function fetchKept(): Promise<void> {
  if (fetched) return
  fetched = true
  const kept = await keptAttempts()
  useDrill.setState(({ kept: now }) => ({ kept: [...kept, ...now] }))
}

export function setSound(sound: boolean): void {
  running?.ear.setSound(sound)
  useDrill.setState({ sound })
}

export function setLevelDb(levelDb: number): void {
  useDrill.setState({ levelDb: audio?.setLevelDb(levelDb) ?? levelDb })
}
