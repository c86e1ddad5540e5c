/**
 * Opens a study on the bench, runs what is missing of it, and keeps what is finished. One study is open at a time; a token
 * makes late answers of an earlier one harmless.
 */
import { Problem } from '../../core/problem.ts'
import type { PairedDifference } from '../../core/score/paired.ts'
import { Paces } from '../../core/study/pace.ts'
import { headerOf, trialCount } from '../../core/study/record.ts'
import type { Outcome, Study } from '../../core/study/study.ts'
import { browserPort } from '../../host/browserport.ts'
import { runStudy } from '../../host/pool.ts'
import { currentRoute, readdress, routeHash } from '../router.ts'
import { shownIn, useBench } from '../store.ts'
import { dropOldRuns, keepOutcomes, keptOutcomes, studyKey } from './keep.ts'
import { studyCode, studyOfCode } from './link.ts'
import { recordingsOf } from './recordings.ts'
import { orderedTrials, reusable } from './reuse.ts'
import type { FromTally, PairQuestion, ToTally } from './tally.ts'
import { appVersion, engine } from './version.ts'

/** Outcomes of the open study by trial index: what exports and the trial page read. */
let outcomes = new Map<number, readonly Outcome[]>()
let token = 0
let abort: AbortController | null = null
/** The open study as the address has it. */
let openCode = ''
/** Computing times of the trials computed since the study was opened. */
let paces = new Paces(useBench.getState().study)

export const openOutcomes = (): ReadonlyMap<number, readonly Outcome[]> => outcomes

const sentenceOf = (cause: unknown): string => {
  if (cause instanceof Problem) return cause.sentence
  return cause instanceof Error ? cause.message : String(cause)
}

/** Opens the study the address names, or the first look, and runs it; again when a person enters another link. */
export async function start(): Promise<void> {
  window.addEventListener('hashchange', () => {
    if ((currentRoute().query.study ?? openCode) !== openCode) void follow()
  })
  await follow()
}

async function follow(): Promise<void> {
  try {
    await openStudy(await studyOfCode(currentRoute().query.study ?? 'first'))
  } catch (cause) {
    await openStudy(await studyOfCode('first'))
    const what = sentenceOf(cause)
    useBench.setState({ notice: `The study in the link was not understood. ${what}. This is the first look instead.` })
  }
  await run()
}

export async function openStudy(study: Study): Promise<void> {
  cancel()
  token += 1
  const mine = token
  const before = useBench.getState()
  const reused = reusable(study, before.study, outcomes)
  useBench.setState({
    study,
    phase: 'opening',
    trialsDone: 0,
    trialsTotal: trialCount(study),
    etaS: Number.NaN,
    results: null,
    paces: [],
    problem: null,
    notice: null,
    shown: shownIn(study, before.shown),
  })
  const [kept, code] = await Promise.all([keptOutcomes(studyKey(study)), studyCode(study)])
  if (mine !== token) return
  openCode = code
  paces = new Paces(study)
  outcomes = new Map([...reused, ...kept])
  tally({ kind: 'begin', header: headerOf(study, appVersion, engine()) })
  tally({ kind: 'add', outcomes: [...outcomes.values()].flat() })
  const { path, query } = currentRoute()
  readdress(routeHash(path, { ...query, study: code }))
  const done = outcomes.size
  useBench.setState({ trialsDone: done, phase: done === trialCount(study) ? 'done' : 'idle' })
  if (done > 0) sum()
}

/** Computes the trials that are missing; resolves when they are there or when it was cancelled. */
export async function run(): Promise<void> {
  const { study, phase } = useBench.getState()
  if (phase !== 'idle') return
  const mine = token
  const key = studyKey(study)
  const mineAbort = new AbortController()
  abort = mineAbort
  useBench.setState({ phase: 'running', problem: null, etaS: Number.NaN })
  const kept: Promise<void>[] = []
  try {
    const recordings = await recordingsOf(study)
    if (mineAbort.signal.aborted) return
    const { problems } = await runStudy({
      study,
      recordings,
      spawn: browserPort,
      jobs: Math.max(1, Math.min(8, navigator.hardwareConcurrency ?? 2)),
      trials: orderedTrials(study, outcomes),
      signal: mineAbort.signal,
      onTrial: (index, { outcomes: list, timings }) => {
        if (mine !== token) return
        paces.add(timings)
        outcomes.set(index, list)
        tally({ kind: 'add', outcomes: list })
        sumSoon()
        useBench.setState({ trialsDone: outcomes.size })
        kept.push(keep(key, index, list))
      },
      onProgress: (_done, _total, etaS) => {
        if (mine === token) useBench.setState({ etaS })
      },
    })
    await Promise.all(kept)
    if (mine !== token) return
    const first = problems[0]
    useBench.setState({
      phase: outcomes.size === trialCount(study) ? 'done' : 'idle',
      problem: first === undefined ? null : `A worker failed: ${first.what}. What could be computed was kept.`,
    })
    sum()
    await dropOldRuns()
  } catch (cause) {
    if (mine === token) useBench.setState({ phase: 'idle', problem: sentenceOf(cause) })
  }
}

/** Stops at once; what is finished stays. */
export function cancel(): void {
  abort?.abort()
  abort = null
  if (useBench.getState().phase === 'running') useBench.setState({ phase: 'idle', etaS: Number.NaN })
}

async function keep(key: string, index: number, list: readonly Outcome[]): Promise<void> {
  const kept = await keepOutcomes(key, index, list)
  useBench.setState(kept ? { savedAt: Date.now() } : { storageRefused: true })
}

let counter: Worker | null = null
let ticket = 0
let waiting = false
let askedMs = 0
let tookMs = 0
let summing = false

function tally(message: ToTally): void {
  if (counter === null) {
    counter = new Worker(new URL('./tally.worker.ts', import.meta.url), { type: 'module' })
    counter.onmessage = ({ data }: MessageEvent<FromTally>) => {
      if (data.kind === 'paired') {
        asking.get(data.ticket)?.(data.differences)
        asking.delete(data.ticket)
        return
      }
      waiting = false
      tookMs = performance.now() - askedMs
      if (data.ticket === ticket) useBench.setState({ results: data.results, paces: paces.all() })
    }
  }
  counter.postMessage(message)
}

const asking = new Map<number, (differences: readonly PairedDifference[]) => void>()
let question = 0

/** Methods of the open study compared with one of them; answered after the sums that were asked for before. */
export function comparePairs(about: PairQuestion): Promise<readonly PairedDifference[]> {
  question += 1
  const asked = question
  return new Promise((resolve) => {
    asking.set(asked, resolve)
    tally({ kind: 'pair', ticket: asked, question: about })
  })
}

function sum(): void {
  ticket += 1
  waiting = true
  askedMs = performance.now()
  tally({ kind: 'sum', ticket })
}

/**
 * Not twice a second even where it is cheap: figures and pictures want a processor that trials want too (at 250 ms the first
 * look took a second longer). A large study's bootstrap takes seconds: it gets at most a fifth of the time.
 */
function sumSoon(): void {
  if (summing) return
  summing = true
  setTimeout(
    () => {
      summing = false
      if (waiting) sumSoon()
      else sum()
    },
    Math.max(600, 4 * tookMs),
  )
}
