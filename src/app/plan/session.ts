/**
 * Keeps choices, records and plan together: what a person chooses goes into the address, the study it asks for is opened from what the
 * browser keeps and run on where it is incomplete, and the planner is asked again: at once for a choice, now and then while
 * plucks come in. One study is open at a time; a token makes late answers harmless.
 */
import { Problem } from '../../core/problem.ts'
import { trialCount } from '../../core/study/record.ts'
import type { Outcome, Study } from '../../core/study/study.ts'
import { browserPort } from '../../host/browserport.ts'
import { runStudy } from '../../host/pool.ts'
import { currentRoute, readdress, routeHash } from '../router.ts'
import { dropOldRuns, keepOutcomes, keptOutcomes, studyKey } from '../run/keep.ts'
import { recordingsOf, restorePicked } from '../run/recordings.ts'
import { orderedTrials, reusable } from '../run/reuse.ts'
import { useBench } from '../store.ts'
import type { PlanAnswer } from './answer.ts'
import { type PlanChoices, requestOf, studyOf, wantedOf } from './choices.ts'
import { choicesOfCode, planCode } from './link.ts'
import { dismiss, isBusy, planned, readRun } from './planner.ts'
import { fewestIn, heardIn, recordsSoFar } from './records.ts'
import { usePlan } from './store.ts'

export const planPath = 'plan'

let token = 0
let abort: AbortController | null = null
let study: Study | null = null
let outcomes = new Map<number, readonly Outcome[]>()
/** As the address has it; null before the first. */
let openCode: string | null = null
/** A person stopped this study: it goes on when they say so. */
let stopped = ''
/** The text of a loaded run, for another instrument or room of it. */
let loadedText = ''

/** While the page is shown; answers what ends that. */
export function startPlan(): () => void {
  const hear = (): void => {
    const { path, query } = currentRoute()
    if (path !== planPath || query.plan === openCode) return
    if (query.plan === undefined && openCode !== null) void write(usePlan.getState().choices)
    else void follow()
  }
  window.addEventListener('hashchange', hear)
  void begin()
  return () => {
    window.removeEventListener('hashchange', hear)
    token += 1
    abort?.abort()
    dismiss()
  }
}

async function begin(): Promise<void> {
  const { query } = currentRoute()
  // Coming back without a link: everything stands as it was left.
  if (openCode !== null && (query.plan === undefined || query.plan === openCode)) {
    await write(usePlan.getState().choices)
    await open()
  } else await follow()
}

async function follow(): Promise<void> {
  token += 1
  const mine = token
  const code = currentRoute().query.plan ?? ''
  try {
    const choices = await choicesOfCode(code)
    if (mine !== token) return
    usePlan.setState({ choices, notice: null, loaded: null })
  } catch (cause) {
    if (mine !== token) return
    usePlan.setState({
      notice: `The plan in the link was not understood. ${sentenceOf(cause).text}. This is the first one instead.`,
    })
  }
  openCode = code
  await open()
}

/** What follows from a person's choice. */
export function choose(change: Partial<PlanChoices>): void {
  const { choices: before, loaded } = usePlan.getState()
  const choices = { ...before, ...change }
  usePlan.setState({ choices, notice: null })
  void write(choices)
  if (loaded !== null) {
    if (before.instrument !== choices.instrument || before.room !== choices.room) void readAgain(choices)
    else void ask()
    return
  }
  if (study === null || studyKey(studyOf(choices)) !== studyKey(study)) void open()
  else void ask()
}

async function write(choices: PlanChoices): Promise<void> {
  const code = await planCode(choices)
  const { path, query } = currentRoute()
  if (path !== planPath || choices !== usePlan.getState().choices) return
  openCode = code
  const { plan: _plan, ...rest } = query
  readdress(routeHash(planPath, code === '' ? rest : { plan: code, ...rest }))
}

/** The study of the choices: what is kept of it, what an earlier one has in common with it, and the rest computed. */
async function open(): Promise<void> {
  const { choices, loaded } = usePlan.getState()
  if (loaded !== null) {
    await ask()
    return
  }
  abort?.abort()
  token += 1
  const mine = token
  const wanted = studyOf(choices)
  const key = studyKey(wanted)
  usePlan.setState({ phase: 'opening', problem: null, etaS: Number.NaN, trialsTotal: trialCount(wanted) })
  const reused = study === null ? new Map<number, readonly Outcome[]>() : reusable(wanted, study, outcomes)
  await restorePicked()
  const kept = await keptOutcomes(key)
  if (mine !== token) return
  study = wanted
  outcomes = new Map([...reused, ...kept])
  usePlan.setState({
    heard: heardIn(wanted, choices.methods.length),
    trialsDone: outcomes.size,
    phase: outcomes.size === trialCount(wanted) ? 'done' : 'idle',
  })
  await ask()
  if (mine === token && stopped !== key) await record()
}

/** Computes what is missing. */
export async function record(): Promise<void> {
  if (usePlan.getState().phase !== 'idle' || study === null) return
  const open = study
  const mine = token
  const key = studyKey(open)
  const mineAbort = new AbortController()
  abort = mineAbort
  stopped = ''
  usePlan.setState({ phase: 'running', etaS: Number.NaN })
  try {
    const recordings = await recordingsOf(open)
    if (mine !== token || mineAbort.signal.aborted) return
    const kept: Promise<void>[] = []
    const { problems } = await runStudy({
      study: open,
      recordings,
      spawn: browserPort,
      jobs: Math.max(1, Math.min(8, navigator.hardwareConcurrency ?? 2)),
      trials: orderedTrials(open, outcomes),
      signal: mineAbort.signal,
      onTrial: (index, { outcomes: list }) => {
        if (mine !== token) return
        outcomes.set(index, list)
        usePlan.setState({ trialsDone: outcomes.size })
        kept.push(keep(key, index, list))
        askSoon()
      },
      onProgress: (_done, _total, etaS) => {
        if (mine === token) usePlan.setState({ etaS })
      },
    })
    await Promise.all(kept)
    if (mine !== token) return
    const [first] = problems
    const text = `A worker failed: ${first?.what}. What could be computed was kept.`
    usePlan.setState({
      phase: outcomes.size === trialCount(open) ? 'done' : 'idle',
      ...(first === undefined ? {} : { problem: { text, where: '' } }),
    })
    await ask()
    await dropOldRuns()
  } catch (cause) {
    if (mine === token) usePlan.setState({ phase: 'idle', problem: sentenceOf(cause) })
  }
}

/** Stops at once; what is finished stays. */
export function cancel(): void {
  abort?.abort()
  if (study !== null) stopped = studyKey(study)
  if (usePlan.getState().phase === 'running') usePlan.setState({ phase: 'idle', etaS: Number.NaN })
}

async function keep(key: string, index: number, list: readonly Outcome[]): Promise<void> {
  const kept = await keepOutcomes(key, index, list)
  useBench.setState(kept ? { savedAt: Date.now() } : { storageRefused: true })
}

/** Plans from a run file instead. @throws nothing: what does not fit is said. */
export async function load(name: string, text: string): Promise<void> {
  abort?.abort()
  token += 1
  const { choices } = usePlan.getState()
  try {
    const run = await readRun({ text, instrument: choices.instrument, room: choices.room.id })
    if (run === null) return
    loadedText = text
    const { records, heard, rooms, room, trials } = run
    const snrDb = nearestIn(records.snrsDb, choices.snrDb)
    usePlan.setState({
      ...{ records, heard, phase: 'done', problem: null, loaded: { name, rooms, trials } },
      choices: { ...choices, room, snrDb, snrsDb: records.snrsDb },
      notice: snrDb === choices.snrDb ? null : `The file does not hold ${choices.snrDb} dB: this is ${snrDb} dB.`,
    })
    await ask()
  } catch (cause) {
    const { text: what } = sentenceOf(cause)
    const notice = `${name} was not taken: ${what}. The plan stays as it was.`
    usePlan.setState({ notice })
    await open()
  }
}

/** Another instrument or room out of the loaded run. */
async function readAgain({ instrument, room }: PlanChoices): Promise<void> {
  const { loaded } = usePlan.getState()
  try {
    const run = await readRun({
      text: loadedText,
      instrument,
      room: loaded?.rooms.some(({ id }) => id === room.id) ? room.id : '',
    })
    if (run === null) return
    usePlan.setState({ records: run.records, heard: run.heard, problem: null })
    await ask()
  } catch (cause) {
    usePlan.setState({ problem: sentenceOf(cause), records: null, answer: null, answered: null })
  }
}

/** Back to what the page records itself. */
export async function unload(): Promise<void> {
  loadedText = ''
  usePlan.setState({ loaded: null })
  await open()
}

const nearestIn = (list: readonly number[], value: number): number =>
  list.reduce((best, one) => (Math.abs(one - value) < Math.abs(best - value) ? one : best), list[0] ?? value)

let tookMs = 0
let askedAt = 0

/** While plucks come in: never before the last answer, and at most a quarter of the time. */
function askSoon(): void {
  if (isBusy() || performance.now() - askedAt < Math.max(1500, 4 * tookMs)) return
  void ask()
}

/** Asks for the plan of the choices from what was recorded so far. */
async function ask(): Promise<void> {
  const { choices, loaded, heard } = usePlan.getState()
  const mine = token
  askedAt = performance.now()
  const began = askedAt
  try {
    const records =
      loaded === null
        ? study === null
          ? null
          : recordsSoFar(study, outcomes, choices.instrument)
        : usePlan.getState().records
    if (records === null) {
      usePlan.setState({ records, answer: null, answered: null, planning: false })
      return
    }
    usePlan.setState({ records, planning: true })
    let cameMs = Number.NaN
    const early = (part: PlanAnswer): void => {
      if (mine !== token) return
      cameMs = performance.now() - began
      usePlan.setState({ answer: part, answered: choices, planMs: cameMs, problem: null })
    }
    const whole = {
      ...{ records, heard, instrument: choices.instrument.id, whatIf: choices.whatIf },
      recordsKey: `${loaded?.name ?? (study === null ? '' : studyKey(study))} ${records.room} ${choices.instrument.id} ${fewestIn(records)}`,
      request: requestOf(choices),
      wanted: wantedOf(choices),
    }
    const answer = await planned(whole, early)
    if (mine !== token || answer === null) return
    tookMs = performance.now() - began
    usePlan.setState({ answer, answered: choices, planning: false, problem: null })
    if (Number.isNaN(cameMs)) usePlan.setState({ planMs: tookMs })
  } catch (cause) {
    if (mine !== token) return
    usePlan.setState({ problem: sentenceOf(cause), answer: null, answered: null, planning: false })
  }
}

function sentenceOf(cause: unknown): { text: string; where: string } {
  if (cause instanceof Problem) return { text: cause.sentence, where: cause.where }
  return { text: cause instanceof Error ? cause.message : String(cause), where: '' }
}
