/** What the plan stands on: how often every string was plucked where, with which methods; more of it, or a run from a file. */
import { methods as knownMethods } from '../../core/methods/index.ts'
import { fewestPlucks } from '../../core/plan/records.ts'
import { Fold } from '../bench/Fold.tsx'
import { counted, duration, listed, signedDb } from '../bench/figures.ts'
import { ProgressBar } from '../bench/ProgressBar.tsx'
import { Chips, FieldInput, TickList, TickOne } from '../choices/Ticks.tsx'
import { type PlanChoices, planFields, slowDisplay } from './choices.ts'
import { fewestIn } from './records.ts'
import { cancel, choose, load, record, unload } from './session.ts'
import { usePlan } from './store.ts'
import { lackingWords } from './words.ts'

/** Always in view: how far the records are, and the way to stop or go on. */
export function RecordsLine() {
  const { phase, trialsDone, trialsTotal, etaS, records, choices, loaded } = usePlan()
  const n = records === null ? 0 : fewestIn(records)
  const lacking = lackingWords(n, Math.min(fewestPlucks, choices.repeats))
  if (loaded !== null) {
    return (
      <div className="plan-records">
        <p className="progress-words">
          From <strong>{loaded.name}</strong>, {counted(loaded.trials, 'trial')},{' '}
          {lackingWords(n, fewestPlucks) ?? `n = ${n}`} a cell. Not part of the link.
        </p>
        <button type="button" className="button" onClick={() => void unload()}>
          Record here instead
        </button>
      </div>
    )
  }
  return (
    <div className="plan-records">
      {phase !== 'done' && <ProgressBar label="Plucks recorded" done={trialsDone} total={trialsTotal} />}
      <p className="progress-words">
        {phase === 'opening' ? (
          'Opening what was recorded'
        ) : (
          <>
            <strong>{lacking ?? `n = ${n}`}</strong>
            {phase === 'running' && ', plucking'}
            {phase === 'running' && Number.isFinite(etaS) && `, ${duration(etaS)} left`}
            {phase === 'idle' && ', stopped'}
            {phase === 'done' && ` plucks of every string at ${ratiosWords(choices)}`}
          </>
        )}
      </p>
      {phase === 'running' && (
        <button type="button" className="button" onClick={cancel}>
          Cancel
        </button>
      )}
      {phase === 'idle' && trialsDone < trialsTotal && (
        <button type="button" className="button" onClick={() => void record()}>
          Go on
        </button>
      )}
    </div>
  )
}

const ratiosWords = ({ snrsDb }: PlanChoices): string => `${listed(snrsDb.map(signedDb))} dB`

const usualRatios = [-10, -5, 0, 5, 10, 15, 20, 30]

export function RecordsPart({ choices }: { choices: PlanChoices }) {
  const { loaded, records } = usePlan()
  const { methods, snrsDb, snrDb, repeats, slowToo } = choices
  const displayed = methods.filter(({ display }) => display !== undefined)
  const plain = methods.filter(({ display }) => display === undefined)
  const ratios = [...new Set([...usualRatios, ...snrsDb])].sort((a, b) => a - b)
  return (
    <Fold
      title="Records"
      question={
        loaded === null
          ? `${counted(methods.length, 'method')}, ${ratiosWords(choices)}, ${repeats} plucks each`
          : `from ${loaded.name}`
      }
    >
      {() => (
        <div className="plan-hand">
          <p className="quiet">
            Several strings of each kind are plucked in the room at every ratio, each a few times, harder and softer:
            most plucks near the note, as a turn leaves them, some up to 150 c off. Claims keep their sign. What was too
            rare to be recorded counts as a pluck of the next noisier ratio, so one belongs beside the one planned for.
            Under {fewestPlucks} plucks no tails are quoted.
          </p>
          {records !== null && <Coverage />}
          {loaded === null && (
            <>
              <Chips
                title="Recorded at, dB"
                options={ratios.map((ratio) => ({ id: `${ratio}`, label: signedDb(ratio) }))}
                ticked={snrsDb.map(String)}
                onTick={(ticked) => {
                  const next = ticked.map(Number).sort((a, b) => a - b)
                  const [lowest, highest] = [next[0] ?? snrDb, next.at(-1) ?? snrDb]
                  if (next.length > 0) choose({ snrsDb: next, snrDb: Math.max(lowest, Math.min(highest, snrDb)) })
                }}
              />
              <TickList
                title="Methods a plan may use"
                pairs
                options={knownMethods.map(({ id, title }) => ({ id, label: id, note: title }))}
                ticked={plain.map(({ id }) => id)}
                onTick={(ids) => {
                  const next = [
                    ...knownMethods
                      .filter(({ id }) => ids.includes(id))
                      .map(({ id }) => plain.find((one) => one.id === id) ?? { id, values: {} }),
                    ...displayed,
                  ]
                  if (next.length > 0) choose({ methods: next })
                }}
              />
              <TickList
                title={`Of these, seen through a display that averages ${slowDisplay.averagingMs} ms`}
                pairs
                options={knownMethods
                  .filter(({ id }) => methods.some((one) => one.id === id))
                  .map(({ id }) => ({ id, label: id }))}
                ticked={displayed.map(({ id }) => id)}
                onTick={(ids) => {
                  const next = [
                    ...plain,
                    ...knownMethods
                      .filter(({ id }) => ids.includes(id))
                      .map(
                        ({ id }) => displayed.find((one) => one.id === id) ?? { id, values: {}, display: slowDisplay },
                      ),
                  ]
                  if (next.length > 0) choose({ methods: next })
                }}
              />
              <TickOne
                label="Record every method behind a slow display too"
                note="For the question what slower displays would cost."
                ticked={slowToo}
                onTick={(ticked) => choose({ slowToo: ticked })}
              />
              <div className="fields">
                <FieldInput
                  title="Plucks each"
                  field={planFields.repeats}
                  value={repeats}
                  onValue={(next) => {
                    if (next !== repeats) choose({ repeats: next })
                  }}
                />
                <FieldInput
                  title="Seed"
                  field={planFields.seed}
                  value={choices.seed}
                  onValue={(seed) => {
                    if (seed !== choices.seed) choose({ seed })
                  }}
                />
              </div>
            </>
          )}
          <label className="button plan-file">
            Load a run
            <input
              type="file"
              accept=".jsonl,application/jsonl"
              className="unseen"
              onChange={(event) => {
                const [file] = event.target.files ?? []
                event.target.value = ''
                if (file !== undefined) void file.text().then((text) => load(file.name, text))
              }}
            />
          </label>
          <p className="notes">A JSON Lines file of the study `plan`, or of any run that plucks these strings.</p>
        </div>
      )}
    </Fold>
  )
}

/** Plucks by string and ratio. */
function Coverage() {
  const records = usePlan((state) => state.records)
  if (records === null) return null
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a part that scrolls has to be reached by key.
    <section className="table-place plan-table" tabIndex={0} aria-label="Plucks recorded">
      <table>
        <thead>
          <tr>
            <th scope="col">plucks in {records.room}</th>
            {records.snrsDb.map((snrDb) => (
              <th key={snrDb} scope="col">
                {signedDb(snrDb)} dB
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {records.strings.map((string, at) => (
            <tr key={string.id}>
              <th scope="row">{string.title}</th>
              {records.cells[at]?.map(({ snrDb, n }) => (
                <td key={snrDb}>{n}</td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  )
}
