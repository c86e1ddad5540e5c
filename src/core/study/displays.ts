/**
 * One estimate behind three displays: the same plucks of one string in one room at one ratio, heard by one method, seen through
 * a quick, a middling and a slow display (invented settings, of no device). Part of what devices feel like is this.
 *
 * Everything but the display is shared, so lock times are compared pluck by pluck. Takes are as long as a slow display needs,
 * and the hold is as long as the slowest of the three can complete (claim.ts): a display of 8 values a second can never claim
 * within the usual 0.25 s. Figures are those of summary.ts.
 */

import { bootstrap, type Figure, median, wilson } from '../maths/statistics.ts'
import { centsBetween } from '../maths/units.ts'
import type { DisplaySettings } from '../methods/displayed.ts'
import { Problem } from '../problem.ts'
import type { Recordings } from '../scene/scene.ts'
import { isTooSlowToClaim, shortestHoldS } from '../score/claim.ts'
import type { Claim } from '../score/score.ts'
import { type CellFigures, figuresOf } from '../score/summary.ts'
import type { MethodChoice, Outcome, Study } from './study.ts'
import { openStudy } from './trial.ts'

export type DisplayId = 'quick' | 'middling' | 'slow'

export interface DisplayCase {
  readonly id: DisplayId
  readonly display: DisplaySettings
}

/** Invented: the ends and the middle of what displays do. */
export const threeDisplays: readonly DisplayCase[] = [
  { id: 'quick', display: { averagingMs: 50, updateHz: 30, inRangeCents: 0, gateDb: -120 } },
  { id: 'middling', display: { averagingMs: 200, updateHz: 15, inRangeCents: 0, gateDb: -120 } },
  { id: 'slow', display: { averagingMs: 600, updateHz: 8, inRangeCents: 3, gateDb: -120 } },
]

/** Which method, and where in the study. */
export interface DisplayQuestion {
  readonly method: MethodChoice
  readonly string: string
  readonly room: string
  readonly snrDb: number
}

export interface ShownStep {
  /** After the pluck. */
  readonly timeS: number
  /** From the truth; NaN: nothing is shown. */
  readonly cents: number
}

export interface SeenDisplay extends DisplayCase {
  readonly figures: CellFigures
  /** Of either kind, or premature. */
  readonly falseRate: Figure
  /** Lock behind this display minus lock behind the first, in the plucks that both claimed; null: none, or it is the first. */
  readonly laterS: Figure | null
  /** In the study's own hold it could never claim. */
  readonly tooSlow: boolean
  /** The first pluck, as this display shows it; each value stands until the next. */
  readonly steps: readonly ShownStep[]
  readonly firstClaim: { readonly kind: Claim; readonly lockS: number; readonly cents: number }
}

export interface DisplayComparison {
  readonly displays: readonly SeenDisplay[]
  readonly plucks: number
  readonly holdS: number
  readonly takeS: number
  readonly leadS: number
  /** How far the first pluck's string lies from its note: where an in-range window acts. */
  readonly offNoteCents: number
}

/** Fewer give no interval worth its name: 6 are the least for a median's, 12 leave room for plucks without a claim. */
const fewestPlucks = 12

/** After the pluck: 0.8 s of averaging, a hold of 0.5 s and as much again for what settles late. */
const heardS = 2

/** The study that answers: its own cells and seeds, so the plucks are the same; only what a display needs is changed. */
export function displaysStudy(study: Study, { method }: Pick<DisplayQuestion, 'method'>): Study {
  const holdS = Math.max(study.claim.holdS, ...threeDisplays.map(({ display }) => shortestHoldS(1 / display.updateHz)))
  return {
    ...study,
    repeats: Math.max(study.repeats, fewestPlucks),
    takeS: Math.max(study.takeS, study.leadS + heardS),
    claim: { ...study.claim, holdS },
    methods: threeDisplays.map(({ display }) => ({ id: method.id, values: method.values, display })),
  }
}

/**
 * @param onPluck told after each pluck how many were heard, of how many.
 * @throws Problem when the study cannot be opened, a trial cannot be rendered, or the question names nothing of it. */
export function compareDisplays(
  study: Study,
  question: DisplayQuestion,
  recordings: Recordings,
  onPluck: (heard: number, of: number) => void = () => undefined,
): DisplayComparison {
  const asked = displaysStudy(study, question)
  const first = firstTrialOf(asked, question)
  const opened = openStudy(asked, recordings)
  const trials = Array.from({ length: asked.repeats }, (_, repeat) => {
    const { outcomes } = opened.run(first + repeat)
    onPluck(repeat + 1, asked.repeats)
    return outcomes
  })
  const { tracks, rendered, scene } = opened.replay(first)
  const { take } = rendered
  const onsetS = take.truth?.onsetS ?? asked.leadS
  const settledHz = take.truth?.settledHz ?? Number.NaN
  return {
    plucks: asked.repeats,
    holdS: asked.claim.holdS,
    takeS: asked.takeS,
    leadS: asked.leadS,
    offNoteCents: centsBetween(settledHz, scene.targetHz ?? Number.NaN),
    displays: threeDisplays.map((display, place): SeenDisplay => {
      const own = trials.map((outcomes) => outcomes[place] as Outcome)
      const names = [question.string, question.room, question.snrDb, question.method.id, display.id]
      const track = tracks[place]
      return {
        ...display,
        figures: figuresOf(own, asked.seed, names),
        falseRate: falseRateOf(own),
        laterS: place === 0 ? null : laterOf(trials, place, asked.seed),
        tooSlow: isTooSlowToClaim(1 / display.display.updateHz, study.claim),
        steps: (track?.readings ?? []).map(({ toSample, f0Hz }) => ({
          timeS: toSample / take.sampleRateHz - onsetS,
          cents: centsBetween(f0Hz, settledHz),
        })),
        firstClaim: {
          kind: track?.score.claim ?? 'none',
          lockS: track?.score.lockS ?? Number.NaN,
          cents: track?.score.claimCents ?? Number.NaN,
        },
      }
    }),
  }
}

function firstTrialOf({ strings, rooms, snrsDb, repeats }: Study, { string, room, snrDb }: DisplayQuestion): number {
  const places = [strings.findIndex(({ id }) => id === string), rooms.findIndex(({ id }) => id === room)] as const
  const ratio = snrsDb.indexOf(snrDb)
  const missing = places[0] < 0 ? 'string' : places[1] < 0 ? 'room' : ratio < 0 ? 'snrDb' : null
  if (missing !== null) throw new Problem('is not in this study', missing)
  return ((places[0] * rooms.length + places[1]) * snrsDb.length + ratio) * repeats
}

function falseRateOf(outcomes: readonly Outcome[]): Figure {
  const claims = outcomes.flatMap((outcome) => (outcome.state === 'scored' ? [outcome.score.claim] : []))
  return wilson(claims.filter((claim) => claim !== 'true' && claim !== 'none').length, claims.length)
}

function laterOf(trials: readonly (readonly Outcome[])[], place: number, seed: number): Figure | null {
  const lockOf = (outcome: Outcome | undefined): number =>
    outcome?.state === 'scored' ? outcome.score.lockS : Number.NaN
  const later = trials.map((outcomes) => lockOf(outcomes[place]) - lockOf(outcomes[0]))
  const figure = bootstrap([later], median, seed)
  return figure.n === 0 ? null : figure
}
