/** How long there is, and how true it has to be: the two wishes that change the plan most. */
import { Label, Slider, SliderThumb, SliderTrack } from 'react-aria-components'
import { instrumentStrings, noteOf } from '../../core/study/instrumentstrings.ts'
import { FieldInput } from '../choices/Ticks.tsx'
import { beatS, planFields, usesOf } from './choices.ts'
import { EditWord } from './PlanSentence.tsx'
import { choose } from './session.ts'
import { usePlan } from './store.ts'
import { beatWords, cents } from './words.ts'

const ticks = [10, 20, 30, 60, 120, 240]
const { min, max } = planFields.budgetS
/** A second more matters more when there are few: the slider is logarithmic, in a thousand steps. */
const steps = 1000
const placeOf = (budgetS: number): number => (steps * Math.log(budgetS / min)) / Math.log(max / min)
const secondsAt = (place: number): number => Math.round(min * (max / min) ** (place / steps))

export function TimePart() {
  const budgetS = usePlan((state) => state.choices.budgetS)
  const neededS = usePlan(({ answer }) =>
    answer !== null && answer.base.told.verdict === 'infeasible' ? answer.base.told.neededS : null,
  )
  const left = (seconds: number): string => `${placeOf(seconds) / (steps / 100)}%`
  return (
    <section className="plan-time" aria-label="Time">
      <p className="plan-setting">
        <strong>{budgetS} s</strong> <span className="quiet">for this instrument</span>
      </p>
      <Slider
        className="plan-slider"
        minValue={0}
        maxValue={steps}
        step={1}
        value={Math.round(placeOf(budgetS))}
        onChange={(place) => move(place, budgetS)}
      >
        <Label className="unseen">Time for this instrument</Label>
        <SliderTrack className="plan-track">
          <span className="plan-track-done" style={{ width: left(budgetS) }} />
          {neededS !== null && neededS > budgetS && neededS < max && (
            <span className="plan-needed" style={{ left: left(neededS) }}>
              needs {Math.ceil(neededS)}
            </span>
          )}
          <SliderThumb className="plan-thumb" aria-label={`Time for this instrument, ${budgetS} seconds`} />
        </SliderTrack>
      </Slider>
      <div className="plan-ticks" aria-hidden="true">
        {ticks.map((tick) => (
          <span key={tick} style={{ left: left(tick) }}>
            {tick}
          </span>
        ))}
      </div>
    </section>
  )
}

/** An arrow key moves by a whole second at least. */
function move(place: number, budgetS: number): void {
  const now = Math.round(placeOf(budgetS))
  const next = secondsAt(place)
  const small = Math.abs(place - now) === 1
  const whole = small ? budgetS + (place > now ? 1 : -1) : next
  const within = Math.max(min, Math.min(max, whole))
  if (within !== budgetS) choose({ budgetS: within })
}

export function TruePart() {
  const { instrument, withinCents } = usePlan((state) => state.choices)
  const uses = usesOf(instrument)
  const highest = highestOf(instrument)
  return (
    <section className="plan-true">
      <h2 id="plan-true">How true</h2>
      <fieldset className="plan-uses" aria-labelledby="plan-true">
        {uses.map((use) => (
          <button
            key={use.withinCents}
            type="button"
            className="button plan-use"
            aria-pressed={use.withinCents === withinCents}
            onClick={() => choose({ withinCents: use.withinCents })}
          >
            <strong>±{cents(use.withinCents)} c</strong>
            <span>{use.word}</span>
          </button>
        ))}
      </fieldset>
      <p className="notes">
        {highest !== null &&
          beatWords(withinCents, highest.targetHz, noteOf(highest), beatS(withinCents, highest.targetHz))}{' '}
        <EditWord word="other" title="How true">
          <FieldInput
            title="Within"
            field={planFields.withinCents}
            value={withinCents}
            step={0.5}
            onValue={(next) => choose({ withinCents: next })}
          />
        </EditWord>
      </p>
    </section>
  )
}

/** Where the beats are quickest; null: an instrument without figures. */
function highestOf(instrument: Parameters<typeof instrumentStrings>[0]) {
  try {
    return [...instrumentStrings(instrument)].sort((a, b) => b.targetHz - a.targetHz)[0] ?? null
  } catch {
    return null
  }
}
