/** Charts or tables: one choice for the whole app, so that whoever wants tables wants them everywhere. */
import { useBench } from '../store.ts'

/** `what` is shown so; `charts` is the word for pictures of it. */
export function AsSwitch({ what, charts }: { what: string; charts: string }) {
  const as = useBench((state) => state.shown.as)
  const { show } = useBench.getState()
  return (
    <fieldset className="switch">
      <legend className="unseen">Show the {what} as</legend>
      {(['charts', 'table'] as const).map((kind) => (
        <button
          key={kind}
          type="button"
          className="button"
          aria-pressed={as === kind}
          onClick={() => show({ as: kind })}
        >
          {kind === 'charts' ? charts : 'Table'}
        </button>
      ))}
    </fieldset>
  )
}
