/** How long each method computes on the machine in front of a person: measured in a worker when asked, kept nowhere. */
import { useEffect, useRef, useState } from 'react'
import { methods } from '../../core/methods/index.ts'
import type { MethodTiming } from '../../core/study/timing.ts'
import { engine } from '../run/version.ts'
import { useBench } from '../store.ts'
import { groupOf, groupWords } from './families.ts'
import { counted } from './figures.ts'
import { MarkIcon } from './slots.tsx'

interface Measuring {
  readonly timings: readonly MethodTiming[]
  readonly state: 'none' | 'running' | 'done' | 'failed'
}

export function PacePart() {
  const busy = useBench((state) => state.phase === 'running')
  const [{ timings, state }, setMeasuring] = useState<Measuring>({ timings: [], state: 'none' })
  const worker = useRef<Worker | null>(null)
  useEffect(() => () => worker.current?.terminate(), [])

  const measure = (): void => {
    worker.current?.terminate()
    const started = new Worker(new URL('../run/timing.worker.ts', import.meta.url), { type: 'module' })
    worker.current = started
    setMeasuring({ timings: [], state: 'running' })
    started.onmessage = ({ data }: MessageEvent<MethodTiming | null>) =>
      setMeasuring((now) =>
        data === null ? { ...now, state: 'done' } : { timings: [...now.timings, data], state: 'running' },
      )
    started.onerror = () => setMeasuring((now) => ({ ...now, state: 'failed' }))
  }

  const cores = navigator.hardwareConcurrency
  const slow = timings.filter(({ keepsUp }) => !keepsUp)
  return (
    <>
      <p className="notes pair-rule">
        Every method with its own settings, on one string in pink noise at 48 kHz, the room not known, one core. Median
        of rounds, fastest and slowest beside it. A method keeps up live when a frame is computed before the next hop is
        full.
        {cores > 0 && ` This is ${engine()}, ${counted(cores, 'core')}.`}
      </p>
      <div className="pace-actions">
        <button type="button" className="button" disabled={busy || state === 'running'} onClick={measure}>
          {state === 'none' ? 'Measure' : 'Measure again'}
        </button>
        <p className="quiet" aria-live="polite">
          {busy && state !== 'running' && 'The study is running: wait until it is done, or both share the processor.'}
          {state === 'running' && `${timings.length} of ${methods.length} methods`}
          {state === 'failed' && 'The measuring worker stopped.'}
          {state === 'done' &&
            (slow.length === 0
              ? 'All keep up live here.'
              : `${timings.length - slow.length} of ${timings.length} keep up live here.`)}
        </p>
      </div>
      {timings.length > 0 && (
        // biome-ignore lint/a11y/noNoninteractiveTabindex: a part that scrolls sideways must be reachable by keys
        <section className="table-place" aria-label="Computing time" tabIndex={0}>
          <table>
            <thead>
              <tr>
                <th scope="col">method</th>
                <th scope="col">live</th>
                <th scope="col">of one core</th>
                <th scope="col">a frame, µs (fastest to slowest)</th>
                <th scope="col">rounds, frames</th>
                <th scope="col">hop, ms</th>
              </tr>
            </thead>
            {(['aimed', 'blind', 'outside'] as const).map((group) => {
              const own = timings.filter(({ method }) => groupOf(method) === group)
              return (
                own.length > 0 && (
                  <tbody key={group}>
                    <tr>
                      <th scope="rowgroup" colSpan={6} className="pace-group">
                        {groupWords[group]}
                      </th>
                    </tr>
                    {own.map((timing) => (
                      <PaceRow key={timing.method} timing={timing} />
                    ))}
                  </tbody>
                )
              )
            })}
          </table>
        </section>
      )}
    </>
  )
}

function PaceRow({ timing }: { timing: MethodTiming }) {
  const { method, microsecondsAFrame, fastest, slowest, rounds, frames, problem } = timing
  const hopMs = (1000 * timing.hopSamples) / timing.sampleRateHz
  return (
    <tr>
      <th scope="row">
        <MarkIcon methodId={method} />
        <span>{method}</span>
      </th>
      {problem === null ? (
        <>
          <td>{timing.keepsUp ? 'keeps up' : 'does not keep up'}</td>
          <td>{percent(timing.coreShare)}</td>
          <td>
            {whole(microsecondsAFrame)} ({whole(fastest)} to {whole(slowest)})
          </td>
          <td>
            {rounds}, {frames}
          </td>
          <td>{hopMs.toFixed(1)}</td>
        </>
      ) : (
        <td colSpan={5}>not timed: {problem}</td>
      )}
    </tr>
  )
}

/** Thin spaces between thousands. */
const whole = (value: number): string => `${Math.round(value)}`.replace(/\B(?=(\d{3})+$)/g, '\u2009')

const percent = (share: number): string => `${share < 0.1 ? (100 * share).toFixed(1) : whole(100 * share)}\u00a0%`
