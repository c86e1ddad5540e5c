/** Which methods hold up at which noise level, on which string? */
import { type KeyboardEvent, useMemo } from 'react'
import { AssumptionsWord } from '../assumptions/AssumptionsWord.tsx'
import { PresetWord, StudyLine, StudySentence } from '../choices/StudySentence.tsx'
import { currentRoute, routeHash, visit } from '../router.ts'
import { namesOf } from '../run/names.ts'
import { openOutcomes } from '../run/session.ts'
import { allStrings, pickedMethods, useBench } from '../store.ts'
import { AsSwitch } from './AsSwitch.tsx'
import { BenchParts } from './BenchParts.tsx'
import { Charts, ColumnStrip } from './Charts.tsx'
import { Patterns } from './ClaimBars.tsx'
import { cellsOf, columnsOf, neighbour, stringsAreColumns, stringWord } from './columns.ts'
import { Displays } from './DisplaysPart.tsx'
import { FiguresTable } from './FiguresTable.tsx'
import { sortedHolds } from './holds.ts'
import { Leaderboard } from './Leaderboard.tsx'
import { PointSentence } from './PointSentence.tsx'
import { plotOf } from './plot.ts'
import { Progress, ProgressWords, RunButton } from './RunControls.tsx'
import { SaveMenu } from './SaveMenu.tsx'
import { useNarrow, useWide } from './size.ts'
import { failureWords, tellingTrial } from './telling.ts'
import { withoutStringWords } from './withoutString.ts'

export function BenchPage() {
  const study = useBench((state) => state.study)
  const results = useBench((state) => state.results)
  const shown = useBench((state) => state.shown)
  const problem = useBench((state) => state.problem)
  const notice = useBench((state) => state.notice)
  const { show, select } = useBench.getState()
  const narrow = useNarrow()
  const wide = useWide()

  const cells = useMemo(() => cellsOf(results), [results])
  const columns = useMemo(() => columnsOf(study, shown.string), [study, shown.string])
  const plots = useMemo(() => columns.map((column) => plotOf(study, cells, column)), [study, cells, columns])
  const methods = namesOf(study)
  const picked = pickedMethods(shown, study)
  const chosenAt = columns.findIndex(({ string, room }) => string === shown.point?.string && room === shown.point.room)
  const column =
    columns[narrow || shown.as === 'table' || chosenAt < 0 ? Math.min(shown.column, columns.length - 1) : chosenAt]
  const banded = useMemo(() => {
    if (shown.banded.length > 0 || column === undefined) return shown.banded
    return sortedHolds(study, cells, column, picked)
      .slice(0, 2)
      .map((hold) => hold.method)
  }, [study, cells, column, picked, shown.banded])

  const goTo = (index: number | null): void => {
    if (index === null || shown.point === null) return
    visit(routeHash('trial', { ...currentRoute().query, trial: `${index}`, method: shown.point.method }))
  }
  const openTrial = (): void => goTo(tellingTrial(openOutcomes(), shown.point))
  const firstTrial = (): void => goTo(tellingTrial(openOutcomes(), shown.point, 'first'))

  const onKey = (event: KeyboardEvent): void => {
    const step = stepOf(event)
    if (event.key === 'Enter') openTrial()
    if (step === null) return
    event.preventDefault()
    const next = neighbour(study, columns, picked, shown.point, step)
    select(next)
    const at = columns.findIndex(({ string, room }) => string === next?.string && room === next.room)
    if (at >= 0) show({ column: at })
  }

  const failures = useMemo(() => (results === null ? null : failureWords(openOutcomes())), [results])
  const unplucked = useMemo(() => withoutStringWords(study, results?.summary.cells ?? []), [study, results])
  const point = <PointSentence cells={cells} onWhy={openTrial} onHear={firstTrial} />

  return (
    <main className="content bench">
      <Patterns />
      <header className="page-head">
        <h1>Bench</h1>
        <p className="quiet question">Which methods hold up at which noise level, on which string?</p>
        {!narrow && <PresetWord />}
        <AssumptionsWord />
      </header>
      {narrow ? (
        <StudyLine />
      ) : (
        <div className="sentence-and-run">
          <StudySentence />
          {wide && <RunButton />}
        </div>
      )}
      {narrow && <Progress />}
      <div className="bench-row">
        {!stringsAreColumns(study) && <StringFilter />}
        {!narrow && (
          <>
            <Progress />
            <div className="bench-actions">
              <AsSwitch what="figures" charts="Charts" />
              <SaveMenu />
              {!wide && <RunButton />}
            </div>
          </>
        )}
      </div>
      {[notice, problem, failures].map((sentence) =>
        sentence === null ? null : (
          <p key={sentence} className="problem" role="alert">
            {sentence}
          </p>
        ),
      )}
      {unplucked.map((sentence) => (
        <p key={sentence} className="unplucked">
          {sentence}
        </p>
      ))}
      <div className={`bench-main as-${shown.as}`}>
        {shown.as === 'charts' ? (
          <Charts
            plots={plots}
            methods={methods}
            picked={picked}
            banded={banded}
            tolCents={study.claim.tolCents}
            holdS={study.claim.holdS}
            longestS={study.takeS - study.leadS}
            narrow={narrow}
            onKey={onKey}
            onOpen={openTrial}
          />
        ) : (
          <div className="table-and-strip">
            {columns.length > 1 && (
              <ColumnStrip
                columns={columns}
                from={Math.max(0, column === undefined ? 0 : columns.indexOf(column))}
                count={1}
                onShow={(at) => show({ column: at })}
              />
            )}
            {column !== undefined && (
              <FiguresTable study={study} cells={cells} column={column} methods={methods} onOpen={openTrial} />
            )}
          </div>
        )}
        {narrow && point}
        {column !== undefined && shown.as === 'charts' && (
          <Leaderboard study={study} cells={cells} column={column} picked={picked} />
        )}
      </div>
      {!narrow && <footer className="bench-foot">{point}</footer>}
      {column !== undefined && <BenchParts study={study} cells={cells} column={column} picked={picked} />}
      {column !== undefined && <Displays study={study} column={column} picked={picked} />}
      {narrow && (
        <div className="bench-actions">
          <ProgressWords />
          <AsSwitch what="figures" charts="Charts" />
          <SaveMenu />
          <RunButton short />
        </div>
      )}
    </main>
  )
}

function stepOf({ key, shiftKey }: KeyboardEvent): Parameters<typeof neighbour>[4] | null {
  const side = key === 'ArrowRight' ? 1 : key === 'ArrowLeft' ? -1 : 0
  if (side !== 0) return shiftKey ? { column: side } : { ratio: side }
  const way = key === 'ArrowDown' ? 1 : key === 'ArrowUp' ? -1 : 0
  return way === 0 ? null : { method: way }
}

/** One string, or all of them pooled. */
function StringFilter() {
  const study = useBench((state) => state.study)
  const string = useBench((state) => state.shown.string)
  const { show } = useBench.getState()
  if (study.strings.length < 2) return null
  const options = [
    { id: allStrings, word: allStrings },
    ...study.strings.map(({ id }) => ({ id, word: stringWord(study, id) })),
  ]
  return (
    <nav className="column-strip" aria-label="String shown">
      {options.map(({ id, word }) => (
        <button
          key={id}
          type="button"
          className={id === string ? 'bracketed' : ''}
          aria-pressed={id === string}
          onClick={() => show({ string: id, point: null })}
        >
          {word}
        </button>
      ))}
    </nav>
  )
}
