/** One trial: what the chosen method did and why, every method's readings, the sound's picture, and the sound itself. */
import { type ReactNode, useEffect, useState } from 'react'
import type { Recordings } from '../../core/scene/scene.ts'
import type { Study } from '../../core/study/study.ts'
import { trialAt } from '../../core/study/trial.ts'
import { AsSwitch } from '../bench/AsSwitch.tsx'
import { signedDb } from '../bench/figures.ts'
import { useNarrow } from '../bench/size.ts'
import { mostPicked, pickedMethods, useBench } from '../store.ts'
import '../style/trial.css'
import '../style/trialpictures.css'
import '../style/trialtables.css'
import { ClaimsTable } from './ClaimsTable.tsx'
import { Caution, HearButtons, Level } from './HearIt.tsx'
import { Pictures } from './Pictures.tsx'
import { saveScene, saveWav } from './saves.ts'
import { whySentence } from './sentence.ts'
import { TrialFacts } from './TrialFacts.tsx'
import { useHearing } from './useHearing.ts'
import { useTrial } from './useTrial.ts'
import { useTrialKeys } from './useTrialKeys.ts'
import { WeighedPart } from './WeighedPart.tsx'

export interface TrialViewProps {
  readonly study: Study
  readonly recordings: Recordings
  readonly index: number
  /** The method the person came from. */
  readonly method: string
  onBack(): void
  onStep(index: number): void
}

export function TrialView({ study, recordings, index, method, onBack, onStep }: TrialViewProps) {
  const narrow = useNarrow()
  const shown = useBench((state) => state.shown)
  const [chosen, setChosen] = useState(method)
  useEffect(() => setChosen(method), [method])
  const { seen, problem } = useTrial(study, recordings, index)
  const hearing = useHearing(seen?.replay ?? null)
  const trial = trialAt(study, index)
  const before = trial.repeat > 0 ? index - 1 : null
  const after = trial.repeat < study.repeats - 1 ? index + 1 : null
  const noString = seen?.replay.scene.noString ?? false
  useTrialKeys({
    before,
    after,
    onStep,
    onBack: () => (hearing.asked === null ? onBack() : hearing.dismiss()),
    onSpace: () => (hearing.playing ? hearing.stop() : hearing.press('mix')),
  })

  const title = `Trial ${trial.repeat + 1} of ${study.repeats}`
  const ownLevels = study.rooms.find(({ id }) => id === trial.room)?.absolute === true
  const where = `${trial.string}, ${trial.room}, ${ownLevels ? 'at its own level' : `${signedDb(trial.snrDb)} dB`}`
  const picked = pickedMethods(shown, study)
  const coloured = picked.includes(chosen) ? picked : [chosen, ...picked].slice(0, mostPicked)
  const why = seen?.examination.whys[chosen]
  const steps = (
    <>
      <Step to={before} onStep={onStep} label={`Trial before, ${trial.repeat} of ${study.repeats}`}>
        ← {trial.repeat > 0 && !narrow ? trial.repeat : ''}
      </Step>
      <Step to={after} onStep={onStep} label={`Next trial, ${trial.repeat + 2} of ${study.repeats}`}>
        {after !== null && !narrow ? trial.repeat + 2 : ''} →
      </Step>
    </>
  )

  return (
    <main className="content trial" aria-busy={seen === null || seen.replay.trial.index !== index}>
      <header className="trial-head">
        <button type="button" className="button" aria-keyshortcuts="Escape" onClick={onBack}>
          ← Bench
        </button>
        <div className="trial-title">
          <h1>{title}</h1>
          <p className="quiet">{where}</p>
        </div>
        {steps}
        {!narrow && seen !== null && (
          <div className="trial-tools">
            <AsSwitch what="readings" charts="Chart" />
          </div>
        )}
      </header>
      {problem !== null && (
        <div className="problem" role="alert">
          This trial could not be made again. {problem}
          <button type="button" className="button" onClick={onBack}>
            Back to the bench
          </button>
        </div>
      )}
      {seen === null && problem === null && <p className="trial-sentence quiet">Making the trial again</p>}
      {seen !== null && (
        <>
          <p className="trial-sentence" aria-live="polite">
            {why === undefined
              ? `${chosen} failed in this trial, so it has no readings.`
              : kept(whySentence(chosen, why, study.claim))}
          </p>
          <div className="trial-main">
            <Pictures
              study={study}
              seen={seen}
              chosen={chosen}
              coloured={coloured}
              as={shown.as}
              narrow={narrow}
              position={hearing.position}
              asSwitch={narrow ? <AsSwitch what="readings" charts="Chart" /> : null}
            />
            <aside className="trial-side">
              <section aria-labelledby="hear-title" className="hear">
                <h2 id="hear-title">Hear it</h2>
                {!narrow && <HearButtons hearing={hearing} noString={noString} />}
                <Level hearing={hearing} />
                {hearing.problem !== null && (
                  <p className="problem" role="alert">
                    {hearing.problem}
                  </p>
                )}
                {!(narrow && hearing.asked !== null) && <Caution hearing={hearing} asking />}
              </section>
              <section aria-labelledby="claims-title">
                <h2 id="claims-title">Claims</h2>
                <ClaimsTable
                  study={study}
                  tracks={seen.replay.tracks}
                  whys={seen.examination.whys}
                  onsetS={seen.replay.rendered.take.truth?.onsetS ?? study.leadS}
                  chosen={chosen}
                  onChoose={setChosen}
                />
              </section>
            </aside>
            <section aria-labelledby="weighed-title" className="trial-weighed">
              <h2 id="weighed-title">What {chosen} weighed</h2>
              <WeighedPart study={study} seen={seen} chosen={chosen} />
            </section>
            <section aria-labelledby="facts-title" className="trial-facts">
              <h2 id="facts-title">This trial</h2>
              <TrialFacts study={study} seen={seen} chosen={chosen} />
              <div className="saves">
                <button type="button" className="button" onClick={() => saveWav(study, seen.replay)}>
                  Save WAV
                </button>
                <button type="button" className="button" onClick={() => saveScene(study, seen.replay)}>
                  Save scene
                </button>
              </div>
            </section>
          </div>
        </>
      )}
      {narrow && seen !== null && (
        <div className="trial-bar">
          {hearing.asked !== null && <Caution hearing={hearing} asking />}
          <HearButtons hearing={hearing} noString={noString} />
          <Step to={after} onStep={onStep} tall label={`Next trial, ${trial.repeat + 2} of ${study.repeats}`}>
            →
          </Step>
        </div>
      )}
    </main>
  )
}

/** A number and its unit stay on one line. */
const kept = (sentence: string): string => sentence.replace(/(\d) (s|c|Hz|dB)\b/g, '$1\u00a0$2')

function Step(props: {
  to: number | null
  label: string
  tall?: boolean
  onStep(index: number): void
  children: ReactNode
}) {
  const { to, label, tall = false, onStep, children } = props
  return (
    <button
      type="button"
      className={tall ? 'button tall step' : 'button step'}
      disabled={to === null}
      aria-label={label}
      onClick={() => to !== null && onStep(to)}
    >
      {children}
    </button>
  )
}
