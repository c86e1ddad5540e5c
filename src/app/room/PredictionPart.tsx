/** What to use in this room: predicted error and lock time of the chosen methods, which one rough and which fine, and why. */
import { useEffect, useRef, useState } from 'react'
import type { Figure } from '../../core/maths/statistics.ts'
import { methodById } from '../../core/methods/index.ts'
import type { NoiseFigures } from '../../core/room/noisetake.ts'
import { type Chosen, chosenSentence } from '../../core/room/predictionchoice.ts'
import type { Predicted, PredictedFigures } from '../../core/room/predictionoutcome.ts'
import type { RoomString } from '../../core/room/roomstring.ts'
import type { Kind } from '../../core/scene/kinds.ts'
import type { MethodChoice } from '../../core/study/study.ts'
import { Fold } from '../bench/Fold.tsx'
import { ProgressBar } from '../bench/ProgressBar.tsx'
import { MarkIcon } from '../bench/slots.tsx'
import { sentenceOf } from '../instruments/store.ts'
import { methodIdOf } from '../run/names.ts'
import '../style/roomprediction.css'
import { type PredictedHere, predictHere, sessionPlucks } from './predict.ts'
import { centsWords, endsWords, secondsWords } from './predictionwords.ts'
import { type Judged, ownFigures } from './roomstore.ts'

interface Progress {
  readonly done: number
  readonly total: number
  readonly etaS: number
}

interface PredictionProps {
  readonly takeId: string
  readonly kind: Kind
  readonly noise: NoiseFigures
  readonly strings: readonly RoomString[]
  readonly judged: Readonly<Record<string, Judged>>
  readonly methods: readonly MethodChoice[]
  /** Figures of some string are being made: what is asked now would be of an older state. */
  readonly working: boolean
}

export function PredictionPart(props: PredictionProps) {
  const { takeId, kind, noise, strings, judged, methods, working } = props
  const [progress, setProgress] = useState<Progress | null>(null)
  const [here, setHere] = useState<PredictedHere | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const abort = useRef<AbortController | null>(null)
  const measured = strings.flatMap((string) => {
    const figures = ownFigures(judged, string.id)
    return figures === null || figures.ratioDb === null || figures.f1Hz === null ? [] : [{ string, figures }]
  })
  // A string taken again, or another choice of methods, is another question: an old answer would be of something else.
  const [asked, setAsked] = useState({ noise, judged, methods })
  if (asked.noise !== noise || asked.judged !== judged || asked.methods !== methods) {
    setAsked({ noise, judged, methods })
    setHere(null)
    setProblem(null)
    setProgress(null)
  }
  // biome-ignore lint/correctness/useExhaustiveDependencies: these are what was asked about; leaving or changing them stops the workers
  useEffect(() => () => abort.current?.abort(), [noise, judged, methods])

  const predict = async (): Promise<void> => {
    const mine = new AbortController()
    abort.current = mine
    setProblem(null)
    setHere(null)
    setProgress({ done: 0, total: 0, etaS: Number.NaN })
    const told = await predictHere(
      { takeId, kind, noise, strings: measured, methods },
      mine.signal,
      (done, total, etaS) => {
        if (!mine.signal.aborted) setProgress({ done, total, etaS })
      },
    ).catch(sentenceOf)
    if (mine.signal.aborted) return
    setProgress(null)
    if (typeof told === 'string') setProblem(told)
    else setHere(told)
  }
  const stop = (): void => {
    abort.current?.abort()
    setProgress(null)
  }
  const left = strings.filter(({ id }) => measured.every(({ string }) => string.id !== id))

  return (
    <section className="room-prediction" aria-labelledby="room-prediction">
      <h3 id="room-prediction">What to use here</h3>
      {working ? (
        <p className="quiet">The strings’ figures are being made.</p>
      ) : measured.length === 0 ? (
        <p className="quiet">
          Nothing can be predicted yet: no string has a ratio over this room and a pitch. Pluck one, nearer to the
          pickup or harder where the room is too loud for it.
        </p>
      ) : (
        <>
          {here === null && progress === null && (
            <div className="room-actions">
              <button type="button" className="button tall" onClick={() => void predict()}>
                Predict for this room
              </button>
              <p className="quiet">
                {methods.length} {methods.length === 1 ? 'method hears' : 'methods hear'} these strings, as they were
                measured, in this noise take{leftWords(left)}
              </p>
            </div>
          )}
          {progress !== null && <Working progress={progress} onStop={stop} />}
          {here !== null && <Answer here={here} strings={strings} left={left} />}
        </>
      )}
      {problem !== null && (
        <p className="problem" role="alert">
          {problem}
        </p>
      )}
    </section>
  )
}

const leftWords = (left: readonly RoomString[]): string =>
  left.length === 0 ? '.' : `. Not measured: ${left.map(({ title }) => title).join(', ')}.`

function Working({ progress: { done, total, etaS }, onStop }: { progress: Progress; onStop(): void }) {
  return (
    <div className="room-actions">
      <ProgressBar label="Trials of the prediction done" done={done} total={total} />
      <p className="progress-words">
        {total === 0 ? 'Opening the study' : `${done} of ${total} trials`}
        {Number.isFinite(etaS) && etaS > 0 && `, ${Math.ceil(etaS)} s left`}
      </p>
      <button type="button" className="button tall" onClick={onStop}>
        Stop
      </button>
    </div>
  )
}

function Answer(props: { here: PredictedHere; strings: readonly RoomString[]; left: readonly RoomString[] }) {
  const { here, strings, left } = props
  const { predicted, trials } = here
  const { methods, rough, fine } = predicted
  const titleOf = (id: string): string => strings.find((string) => string.id === id)?.title ?? id
  const without = [...new Set([...left.map(({ id }) => id), ...here.without])]
  return (
    <>
      <div role="status">
        <dl className="room-chosen">
          <ChosenLine word="Rough" chosen={rough} />
          <ChosenLine word="Fine" chosen={fine} />
        </dl>
      </div>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a part that scrolls sideways must be reachable by keys */}
      <section className="table-place" aria-label="Predicted for this room" tabIndex={0}>
        <table className="room-table">
          <caption className="unseen">
            Predicted error and lock time of each method in this room, 95 % intervals
          </caption>
          <HeadRow first="method" />
          <tbody>
            {methods.map(({ method, pooled }) => (
              <tr key={method}>
                <th scope="row">
                  <MarkIcon methodId={methodIdOf(method)} />
                  {titleOfMethod(method)}
                  <span className="notes">{roleOf(method, pooled, predicted)}</span>
                </th>
                <FigureCells figures={pooled} />
              </tr>
            ))}
          </tbody>
        </table>
      </section>
      <p className="notes">
        Predicted, not measured: n = {trials} trials for every method, in this noise take; every string as its one pluck
        allows, softer and louder. 95 % intervals of the medians and shares of {sessionPlucks} plucks to come. False:
        the claim is more than 5 c off. What the room did not do during the noise take is in none of them.
        {without.length > 0 && ` Without ${without.map(titleOf).join(', ')}: not measured.`}
      </p>
      <Fold title="String by string" question="the same for each string alone">
        {() => <ByString methods={methods} titleOf={titleOf} />}
      </Fold>
    </>
  )
}

/** As the live rulers call it; settings, if any, stay behind it. */
const titleOfMethod = (name: string): string => {
  const id = methodIdOf(name)
  return `${methodById(id).title}${name.slice(id.length)}`
}

const ChosenLine = ({ word, chosen }: { word: string; chosen: Chosen }) => (
  <div>
    <dt>{word}</dt>
    <dd>{chosenSentence(chosen, titleOfMethod)}</dd>
  </div>
)

/** "[ rough and fine ]", "as good for fine", "mostly false here", "". */
function roleOf(method: string, { falseRate }: PredictedFigures, { rough, fine }: Predicted): string {
  if (falseRate.value > 0.5) return 'mostly false here'
  const own = [...(rough.method === method ? ['rough'] : []), ...(fine.method === method ? ['fine'] : [])].join(' and ')
  const ties = [
    ...(rough.ties.includes(method) ? ['rough'] : []),
    ...(fine.ties.includes(method) ? ['fine'] : []),
  ].join(' and ')
  return [own === '' ? '' : `[ ${own} ]`, ties === '' ? '' : `as good for ${ties}`]
    .filter((part) => part !== '')
    .join(' ')
}

const HeadRow = ({ first, second }: { first: string; second?: string }) => (
  <thead>
    <tr>
      <th scope="col">{first}</th>
      {second !== undefined && <th scope="col">{second}</th>}
      <th scope="col">error, c (95 %)</th>
      <th scope="col">lock, s (95 %)</th>
      <th scope="col">false, % (95 %)</th>
      <th scope="col">no claim in 1.5 s, % (95 %)</th>
    </tr>
  </thead>
)

const FigureCells = ({ figures: { errorCents, lockS, falseRate, noLockRate } }: { figures: PredictedFigures }) => (
  <>
    <FigureCell figure={errorCents} words={centsWords} weighs />
    <FigureCell figure={lockS} words={secondsWords} weighs />
    <FigureCell figure={falseRate} words={percent} />
    <FigureCell figure={noLockRate} words={percent} />
  </>
)

function FigureCell(props: { figure: Figure; words: (value: number) => string; weighs?: boolean }) {
  const { figure, words, weighs = false } = props
  return (
    <td className={weighs ? 'weigh' : ''}>
      {Number.isNaN(figure.value) ? '—' : words(figure.value)}{' '}
      <span className="room-ends">{endsWords(figure, words)}</span>
    </td>
  )
}

const percent = (share: number): string => (100 * share).toFixed(0)

function ByString({ methods, titleOf }: { methods: Predicted['methods']; titleOf(id: string): string }) {
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a part that scrolls sideways must be reachable by keys
    <section className="table-place" aria-label="Predicted string by string" tabIndex={0}>
      <table className="room-table">
        <caption className="unseen">
          Predicted error and lock time of each method on each string, 95 % intervals
        </caption>
        <HeadRow first="string" second="method" />
        <tbody>
          {(methods[0]?.strings ?? []).flatMap(({ string }, at) =>
            methods.map(({ method, strings }) => (
              <tr key={`${string} ${method}`}>
                <th scope="row">{titleOf(string)}</th>
                <td>{titleOfMethod(method)}</td>
                {strings[at] !== undefined && <FigureCells figures={strings[at]} />}
              </tr>
            )),
          )}
        </tbody>
      </table>
    </section>
  )
}
