/**
 * The same estimate behind three displays: what averaging, update rate and an in-range window do to what a person feels. All
 * of it is computed here and now, from the study's own seed and cells.
 */
import { useState } from 'react'
import { type DisplayQuestion, threeDisplays } from '../../core/study/displays.ts'
import type { Study } from '../../core/study/study.ts'
import { PickWord } from '../instruments/PickWord.tsx'
import { methodIdOf } from '../run/names.ts'
import { openStudy, run } from '../run/session.ts'
import { allStrings, useBench } from '../store.ts'
import '../style/displays.css'
import { AsSwitch } from './AsSwitch.tsx'
import { type Column, ratiosOf, stringWord } from './columns.ts'
import { DisplaysPicture } from './DisplaysPicture.tsx'
import { DisplaysFigures, DisplaysValues } from './DisplaysTables.tsx'
import { displaysSentences } from './displaysWords.ts'
import { Fold } from './Fold.tsx'
import { signedCents, signedDb } from './figures.ts'
import { useDisplays } from './useDisplays.ts'

interface DisplaysProps {
  readonly study: Study
  readonly column: Column
  readonly picked: readonly string[]
}

export function Displays(props: DisplaysProps) {
  return (
    <div className="bench-parts">
      <Fold
        title="The same estimate behind three displays"
        question="How much of what a person feels is the display, not the method?"
      >
        {() => <DisplaysPart {...props} />}
      </Fold>
    </div>
  )
}

function DisplaysPart({ study, column, picked }: DisplaysProps) {
  const as = useBench((state) => state.shown.as)
  const point = useBench((state) => state.shown.point)
  const busy = useBench((state) => state.phase === 'running' || state.phase === 'opening')
  const [wanted, setWanted] = useState<Partial<Record<'method' | 'string' | 'room' | 'snrDb', string>>>({})
  const ratios = ratiosOf(study)
  const lists = {
    method: [...new Set(study.methods.map(({ id }) => id))],
    string: study.strings.map(({ id }) => id),
    room: study.rooms.map(({ id }) => id),
    snrDb: ratios.map(String),
  }
  const usual = {
    method: methodIdOf(point?.method ?? picked[0] ?? ''),
    string: point?.string ?? (column.string === allStrings ? undefined : column.string),
    room: point?.room ?? column.room,
    // Where most plucks are claimed at all.
    snrDb: `${point?.snrDb ?? ratios.at(-1)}`,
  }
  const chosen = (name: keyof typeof lists): string =>
    [wanted[name], usual[name]].find((id) => id !== undefined && lists[name].includes(id)) ?? lists[name][0] ?? ''
  const methodId = chosen('method')
  const method = study.methods.find(({ id }) => id === methodId)
  const question: DisplayQuestion = {
    method: { id: methodId, values: method?.values ?? {} },
    string: chosen('string'),
    room: chosen('room'),
    snrDb: Number(chosen('snrDb')),
  }
  const { comparison, question: answered, problem, waiting, progress } = useDisplays(study, question, busy)
  const word = (name: keyof typeof lists, title: string, label: (id: string) => string = (id) => id) => (
    <PickWord
      word={label(chosen(name))}
      label={title}
      title={title}
      groups={[
        {
          title: null,
          chosen: chosen(name),
          onPick: (id) => setWanted((before) => ({ ...before, [name]: id })),
          picks: lists[name].map((id) => ({ id, label: label(id) })),
        },
      ]}
    />
  )
  return (
    <>
      <p className="sentence pair-sentence">
        {word('method', 'Method')} on {word('string', 'String', (id) => stringWord(study, id))} in{' '}
        {word('room', 'Room')} at {word('snrDb', 'Ratio', (id) => `${signedDb(Number(id))} dB`)}, seen through three
        invented displays.
      </p>
      <div aria-live="polite" aria-busy={waiting}>
        {problem !== null && <p className="problem">The displays could not be compared. {problem}</p>}
        {problem === null && comparison === null && (
          <p className="quiet">
            {busy
              ? 'Waits until the study is done'
              : `Plucking and listening${progress === null ? '' : `, ${progress.heard} of ${progress.of}`}`}
          </p>
        )}
        {comparison !== null && (
          <p className={waiting ? 'displays-sentence quiet' : 'displays-sentence'}>
            {displaysSentences(comparison).join(' ')}
          </p>
        )}
      </div>
      {comparison !== null && answered !== null && (
        <div className="displays">
          <div className="displays-first">
            <div className="displays-head">
              <p className="notes">
                The first of {comparison.plucks} plucks, its string {signedCents(comparison.offNoteCents)} c off the
                note. Band: {'\u00b1'}
                {study.claim.tolCents} c. Bracket: the hold of its claim.
              </p>
              <AsSwitch what="displays" charts="Chart" />
            </div>
            {as === 'charts' ? (
              <DisplaysPicture comparison={comparison} methodId={answered.method.id} tolCents={study.claim.tolCents} />
            ) : (
              <DisplaysValues comparison={comparison} />
            )}
          </div>
          <DisplaysFigures comparison={comparison} ownHoldS={study.claim.holdS} />
        </div>
      )}
      <p className="notes">
        Same plucks, same room and same method behind each display; seed {study.seed}. A hold needs five values: at 8 a
        second that takes half a second. Values are averaged in cents, so one wrong octave among them moves what is
        shown.
      </p>
      <div>
        <button
          type="button"
          className="button displays-sweep"
          onClick={() => void sweep(withDisplays(study, question.method))}
        >
          {hasDisplays(study, methodId) ? `Take ${methodId} off its displays` : `Sweep ${methodId} behind all three`}
        </button>
      </div>
    </>
  )
}

const hasDisplays = (study: Study, methodId: string): boolean =>
  study.methods.some(({ id, display }) => id === methodId && display !== undefined)

/** The study with the method behind the three displays too, or with none of its displays. */
function withDisplays(study: Study, { id, values }: DisplayQuestion['method']): Study {
  if (!hasDisplays(study, id)) {
    const behind = threeDisplays.map(({ display }) => ({ id, values, display }))
    return { ...study, methods: study.methods.flatMap((choice) => (choice.id === id ? [choice, ...behind] : [choice])) }
  }
  const methods = study.methods.filter((choice) => choice.id !== id || choice.display === undefined)
  const own = methods.some((choice) => choice.id === id)
  return { ...study, methods: own ? methods : [...methods, { id, values }] }
}

async function sweep(study: Study): Promise<void> {
  await openStudy(study)
  await run()
}
