/**
 * Digits, words, ruler and clock of a running attempt. Nothing of it is in React's state: one frame after the other is drawn, and digits
 * and words are written at most ten times a second.
 */
import { useEffect, useRef } from 'react'
import type { Exercise } from '../../core/drill/exercise.ts'
import { slotOf } from '../bench/slots.tsx'
import { drawRuler, drawScale, rulerOn } from '../live/drawRuler.ts'
import { insideWords, type RowTold, rowTold, stateWords, written } from '../live/rows.ts'
import { type Frame, onFrame } from './attempt.ts'
import { methodWord } from './words.ts'

const wordsMs = 100
const spokenMs = 1000

export function Readout(props: {
  exercise: Exercise
  method: number
  bestS: number | null
  idle: string
  ended: boolean
}) {
  const root = useRef<HTMLDivElement | null>(null)
  const { exercise, method, bestS, idle, ended } = props

  useEffect(() => {
    const { current } = root
    if (current === null) return
    const one = <E extends HTMLElement>(name: string): E | null => current.querySelector<E>(`[data-drill="${name}"]`)
    const canvas = one<HTMLCanvasElement>('ruler')
    const scale = one<HTMLCanvasElement>('scale')
    const bar = one('bar')
    let [wroteMs, spokeMs, scaleWidth] = [0, 0, 0]

    const ofFrame = (frame: Frame | null): RowTold | null => {
      const row = frame?.ear.rows[frame.method]
      if (frame === null || row === undefined) return null
      return rowTold(row, frame.ear.targetHz, frame.exercise.methods[frame.method]?.letGoCents ?? 0)
    }
    const watch = (frame: Frame | null): void => {
      const told = ofFrame(frame)
      const now = frame?.method ?? method
      const choice = exercise.methods[now]
      const letGo = choice?.letGoCents ?? 0
      const ruler = canvas === null ? null : rulerOn(canvas)
      if (ruler !== null) drawRuler(ruler, slotOf(choice?.id ?? ''), told, letGo)
      if (scale !== null && scale.clientWidth !== scaleWidth) {
        const under = rulerOn(scale)
        if (under !== null) drawScale(under)
        scaleWidth = scale.clientWidth
      }
      const nowMs = performance.now()
      if (frame !== null && nowMs - wroteMs < wordsMs) return
      wroteMs = nowMs
      const digits = told === null ? '—' : largeDigits(told.cents)
      write(one('digits'), digits)
      one('digits')?.classList.toggle('none', digits === '—')
      const words = told === null ? idle : insideWords(told, letGo)
      write(one('words'), words)
      write(one('state'), told === null ? '' : stateWords(told))
      one('words')?.classList.toggle('bracketed', told?.inside === true)
      // What it took stays to be seen.
      if (frame === null && ended) return
      const elapsedS = frame?.elapsedS ?? 0
      write(one('clock'), `${Math.floor(elapsedS)}`)
      const whole = spanS(exercise, bestS, elapsedS)
      if (bar !== null) bar.style.setProperty('--share', `${Math.min(100, (100 * elapsedS) / whole)}%`)
      if (nowMs - spokeMs < spokenMs) return
      spokeMs = nowMs
      write(one('spoken'), told?.state === 'steady' ? `${written(told.cents)} cents, ${words}` : '')
    }
    const stop = onFrame(watch)
    const again = (): void => watch(null)
    window.addEventListener('resize', again)
    return () => {
      stop()
      window.removeEventListener('resize', again)
    }
  }, [exercise, method, bestS, idle, ended])

  const { clockS } = exercise
  const whole = spanS(exercise, bestS, 0)
  return (
    <div className="drill-readout" ref={root}>
      <p className="drill-digits" aria-hidden="true">
        <span className="none" data-drill="digits">
          —
        </span>
        <span className="drill-unit">c</span>
      </p>
      <div className="drill-words" aria-hidden="true">
        <p>
          <span data-drill="words">{idle}</span>
        </p>
        <p className="quiet" data-drill="state" />
      </div>
      <div className="drill-clock">
        <p>
          <span className="drill-clock-now" data-drill="clock">
            0
          </span>{' '}
          <span className="quiet">{clockS > 0 ? `s of ${clockS}` : 's'}</span>
        </p>
        <div className="drill-bar" data-drill="bar" aria-hidden="true">
          {bestS !== null && <i style={{ left: `${Math.min(100, (100 * bestS) / whole)}%` }} />}
        </div>
        <p className="notes drill-best">{bestS === null ? '' : `best way ${bestS.toFixed(0)} s`}</p>
      </div>
      <div className="drill-ruler" aria-hidden="true">
        <canvas data-drill="ruler" />
        <canvas className="drill-scale" data-drill="scale" />
        <span className="notes drill-ruler-name">{methodWord(exercise, method)}</span>
      </div>
      <p className="unseen" aria-live="polite" data-drill="spoken" />
    </div>
  )
}

/** Tenths only where a hand can use them: what is far off takes no more room than what is near. */
function largeDigits(cents: number): string {
  const rounded = Math.abs(cents) < 9.95 ? cents : Math.round(cents)
  return written(rounded).replace(Math.abs(cents) < 9.95 ? '' : '.0', '')
}

/** The bar's whole length: the clock, or twice the best way, or what it took so far. */
const spanS = ({ clockS }: Exercise, bestS: number | null, elapsedS: number): number =>
  Math.max(clockS > 0 ? clockS : 2 * (bestS ?? 10), elapsedS)

function write(element: HTMLElement | null, text: string): void {
  if (element !== null && element.textContent !== text) element.textContent = text
}
