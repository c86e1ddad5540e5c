/** Why an input did not open or what went wrong since, with the button that mends it where one does. */
import type { CaptureState } from '../../host/capture.ts'

export function InputProblem(props: {
  /** null: none. */
  problem: string | null
  /** null: no input is open. */
  state: CaptureState | null
  onResume(): void
}) {
  const { problem, state, onResume } = props
  if (problem === null) return null
  const mend = state?.mend ?? null
  return (
    <div className="problem" role="alert">
      {problem}
      {mend !== null && (
        <button type="button" className="button" onClick={onResume}>
          {mend === 'resume' ? 'Resume' : 'Reconnect'}
        </button>
      )}
    </div>
  )
}
