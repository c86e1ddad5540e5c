/** What tells the two set-ups apart everywhere: a ring for the first, a square for the second; and the bracket of the alarm. */
import type { ReactNode } from 'react'
import type { Reckoning } from '../../core/instruments/reckoning.ts'
import { told, written } from './sentences.ts'

export type Side = 'first' | 'second'

export function SideMark({ side }: { side: Side }) {
  return (
    <svg className="side-mark" width="16" height="16" viewBox="0 0 16 16" aria-hidden="true">
      <MarkShape side={side} x={8} y={8} />
    </svg>
  )
}

/** In the coordinates of the picture around it. */
export function MarkShape({ side, x, y }: { side: Side; x: number; y: number }) {
  return side === 'first' ? (
    <circle cx={x} cy={y} r={5.5} fill="var(--ground)" stroke="var(--text-1)" strokeWidth={2} />
  ) : (
    <rect x={x - 5.5} y={y - 5.5} width={11} height={11} fill="var(--text-1)" />
  )
}

/** A figure with "≈" when it is an estimate; read aloud as "about". */
export function Told({ figure, places }: { figure: Reckoning; places: number }) {
  if (figure.status === 'computed' || !Number.isFinite(figure.value)) return <>{told(figure, places)}</>
  return (
    <>
      <span aria-hidden="true">≈</span>
      <span className="unseen">about </span>
      {written(figure.value, places)}
    </>
  )
}

/** A bracket and the word: never colour. */
export function Alarm({ children }: { children?: ReactNode }) {
  return <span className="alarm bracketed">{children} alarm</span>
}
