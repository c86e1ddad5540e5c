/** The plan: verdict, the chain as numbered steps, what to do where the time does not suffice, the five numbers. */
import type { Figure } from '../../core/maths/statistics.ts'
import { fewestPlucks, snappedOf } from '../../core/plan/records.ts'
import type { ToldPlan } from '../../core/plan/told.ts'
import type { PlanSide } from './answer.ts'
import { beatS, type PlanChoices, planFields } from './choices.ts'
import { fewestIn } from './records.ts'
import { choose } from './session.ts'
import { usePlan } from './store.ts'
import { cents, headlineOf, lackingWords, type Number5, numbersOf, type Step, stepsOf } from './words.ts'

export function ResultPart({ side, choices }: { side: PlanSide; choices: PlanChoices }) {
  const records = usePlan((state) => state.records)
  const n = records === null ? 0 : fewestIn(records)
  const lacking = lackingWords(n, fewestPlucks)
  const { bold, rest } = headlineOf(side.told)
  const infeasible = side.told.verdict === 'infeasible'
  const snapped = records === null ? null : snappedOf(records, side.told.snrDb)
  return (
    <div className={lacking === null ? 'plan-result' : 'plan-result hatched'}>
      {lacking !== null && (
        <p className="plan-lacking">
          Provisional, {lacking} plucks of every string at every ratio before tails are quoted. Until then what was too
          rare to be seen counts as one pluck in {n + 1}.
        </p>
      )}
      {snapped !== null && <p className="notes">{snapped}.</p>}
      <h2 className="plan-verdict" aria-live="polite">
        {bold} <span>{rest}</span>
        {infeasible && <span> Nothing was relaxed; choose:</span>}
      </h2>
      {side.told.pays.sentence !== null && <p className="notes">{side.told.pays.sentence}</p>}
      {infeasible && <Ways told={side.told} verified={isVerified(side)} />}
      {infeasible && <h3 className="plan-sub">What {choices.budgetS} s reach</h3>}
      <Steps steps={stepsFor(side, choices)} />
      <div>
        {numbersOf(side).map((one) => (
          <NumberRow key={one.id} one={one} />
        ))}
      </div>
      {choices.bridge === 'floating' && (
        <p className="notes">
          The bridge floats: each string that is raised lets the others down; that is in the figures.
        </p>
      )}
    </div>
  )
}

export const stepsFor = (side: PlanSide, { work, hand }: PlanChoices): Step[] =>
  stepsOf({ stages: side.told.stages, verified: side.stepsS.length > side.told.stages.length }, side.stepsS, {
    strings: side.told.unverified.strings.length,
    undershootCents: hand.undershootCents,
    morePasses: work.morePasses,
  })

/** A check follows the stages. */
const isVerified = ({ stepsS, told }: PlanSide): boolean => stepsS.length > told.stages.length

export const StepSentence = ({ step: { before, bold, after } }: { step: Step }) => (
  <p>
    {before}
    <strong>{bold}</strong>
    {after}
  </p>
)

function Steps({ steps }: { steps: readonly Step[] }) {
  return (
    <ol className="plan-steps">
      {steps.map((step, at) => (
        <li key={`${step.bold} ${step.detail}`}>
          <span className="plan-step-number">{at + 1}</span>
          <div>
            <StepSentence step={step} />
            <p className="plan-step-detail">{step.detail}</p>
          </div>
          {Number.isFinite(step.timeS) && (
            <span className="plan-step-time">
              {Math.round(step.timeS)} s<span className="unseen"> on average</span>
            </span>
          )}
        </li>
      ))}
    </ol>
  )
}

const titles: Readonly<Record<ToldPlan['choices'][number]['id'], string>> = {
  'worst-two': 'Tune the worst two',
  spare: 'Take the spare',
  'more-time': 'Ask for more time',
  accept: 'Accept less',
}

/** Four ways out; two of them can be taken here. */
function Ways({ told, verified }: { told: ToldPlan; verified: boolean }) {
  const { choices, neededS, reachableCents, wanted } = told
  const act: Partial<Record<(typeof choices)[number]['id'], () => void>> = {
    ...(neededS === null || neededS > planFields.budgetS.max
      ? {}
      : { 'more-time': () => choose({ budgetS: Math.ceil(neededS) }) }),
    // Unverified is no tolerance that could be asked for.
    ...(reachableCents === null || !verified || reachableCents > planFields.withinCents.max
      ? {}
      : { accept: () => choose({ withinCents: Math.ceil(10 * reachableCents) / 10 }) }),
  }
  return (
    <ul className="plan-ways">
      {choices.map(({ id, words }) => {
        const inner = (
          <>
            <strong>{wayTitle(id, told)}</strong>
            <span>{id === 'accept' && reachableCents !== null ? acceptWords(reachableCents, words) : words}</span>
          </>
        )
        const take = act[id]
        return (
          <li key={id}>
            {take === undefined ? (
              <div className="plan-way">{inner}</div>
            ) : (
              <button type="button" className="plan-way takes" onClick={take}>
                {inner}
              </button>
            )}
          </li>
        )
      })}
      <li className="unseen">
        Asked: ±{cents(wanted.withinCents)} c in {wanted.budgetS} s.
      </li>
    </ul>
  )
}

function wayTitle(id: keyof typeof titles, { neededS, reachableCents, wanted }: ToldPlan): string {
  if (id === 'more-time' && neededS !== null) return `Ask for ${Math.ceil(neededS - wanted.budgetS)} s more`
  if (id === 'accept' && reachableCents !== null) return `Accept ±${cents(reachableCents)} c`
  return titles[id]
}

/** Referred to E4, whose beats are quickest on a guitar. */
const acceptWords = (within: number, words: string): string =>
  within > 20 ? words : `Beats once in ${beatS(within, 330).toFixed(1)} s at 330 Hz; come back to it.`

function NumberRow({ one }: { one: Number5 }) {
  return (
    <div className="plan-number">
      <strong className="plan-figure">{one.value}</strong>
      <div>
        <p>{one.title}</p>
        <p className="notes">{one.interval}</p>
      </div>
      {one.drawn !== null && <Whisker {...one.drawn} />}
    </div>
  )
}

/** The interval on its scale; the words beside say the same. */
function Whisker({ figure, from, to }: { figure: Figure; from: number; to: number }) {
  const at = (value: number): number => Math.max(0, Math.min(100, (100 * (value - from)) / (to - from)))
  const [low, mid, high] = [at(figure.low), at(figure.value), at(figure.high)]
  return (
    <div className="plan-scale" aria-hidden="true">
      <span>{Math.round(from).toString().replace('-', '−')}</span>
      <svg viewBox="0 0 100 20" preserveAspectRatio="none" aria-hidden="true">
        <line className="track" x1="0" x2="100" y1="10" y2="10" />
        <path d={`M${low} 10H${high}M${low} 4V16M${high} 4V16`} />
        <path className="mid" d={`M${mid} 5V15`} />
      </svg>
      <span>{Math.round(to)}</span>
    </div>
  )
}
