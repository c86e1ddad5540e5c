/** The peg under a finger: drag sideways to turn, higher for coarse, lower for fine; arrow keys and wheel do the same. */
import { useEffect, useRef, useState } from 'react'
import { rulerOn } from '../live/drawRuler.ts'
import { turn } from './attempt.ts'
import { degreesWord, drawField, type FieldSize, pxPerDegree, type TrailPoint } from './field.ts'

/** One press of a key or notch of a wheel: 0.3 c on a plain guitar string, and ten times that. */
const fineKeyDeg = 0.2
const coarseKeyDeg = 2
/** Keys and wheel draw on where it is fine or coarse. */
const fineShare = 0.76
const coarseShare = 0.24
/** A pause this long begins a new move. */
const pauseMs = 1200
/** A notch of a common wheel, CSS pixels. */
const notchPx = 100

export function TurningField(props: { title: string; disabled: boolean }) {
  const canvas = useRef<HTMLCanvasElement | null>(null)
  const move = useRef<{ trail: TrailPoint[]; atMs: number }>({ trail: [], atMs: 0 })
  const [told, setTold] = useState(0)
  const { title, disabled } = props

  useEffect(() => {
    const { current } = canvas
    if (current === null) return
    const field = current
    let pointer: { id: number; x: number } | null = null
    const size = (): FieldSize => ({ widthPx: field.clientWidth, heightPx: field.clientHeight })

    const draw = (): void => {
      const ruler = rulerOn(field)
      if (ruler !== null) drawField(ruler.context, ruler, move.current.trail)
    }
    const add = (degrees: number, share: number, begin: boolean): void => {
      const now = performance.now()
      if (begin) move.current.trail = [{ deg: 0, share }]
      move.current.atMs = now
      const { trail } = move.current
      const deg = (trail.at(-1)?.deg ?? 0) + turn(degrees)
      trail.push({ deg, share })
      // Long strokes need no more points than pixels.
      if (trail.length > 400) trail.splice(1, 1)
      draw()
      setTold(Math.round(10 * deg) / 10)
    }
    const step = (degrees: number, share: number): void =>
      add(degrees, share, performance.now() - move.current.atMs > pauseMs || move.current.trail.length === 0)

    const down = (event: PointerEvent): void => {
      if (pointer !== null || event.button !== 0) return
      field.setPointerCapture(event.pointerId)
      const { top } = field.getBoundingClientRect()
      pointer = { id: event.pointerId, x: event.clientX }
      add(0, (event.clientY - top) / field.clientHeight, true)
    }
    const drag = (event: PointerEvent): void => {
      if (pointer?.id !== event.pointerId) return
      const yPx = event.clientY - field.getBoundingClientRect().top
      const degrees = (event.clientX - pointer.x) / pxPerDegree(yPx, size())
      pointer.x = event.clientX
      add(degrees, Math.min(1, Math.max(0, yPx / field.clientHeight)), false)
    }
    const up = (event: PointerEvent): void => {
      if (pointer?.id === event.pointerId) pointer = null
    }
    const wheel = (event: WheelEvent): void => {
      event.preventDefault()
      const notches = -(event.deltaY === 0 ? event.deltaX : event.deltaY) / notchPx
      step(notches * (event.shiftKey ? coarseKeyDeg : fineKeyDeg), event.shiftKey ? coarseShare : fineShare)
    }
    const key = (event: KeyboardEvent): void => {
      if (event.ctrlKey || event.metaKey || event.altKey) return
      const { target } = event
      if (target instanceof HTMLElement && target.closest('input, textarea, select, [role="dialog"]') !== null) return
      const side = event.key === 'ArrowRight' ? 1 : event.key === 'ArrowLeft' ? -1 : 0
      if (side === 0) return
      event.preventDefault()
      step(side * (event.shiftKey ? coarseKeyDeg : fineKeyDeg), event.shiftKey ? coarseShare : fineShare)
    }
    const seen = new ResizeObserver(draw)
    seen.observe(field)
    draw()
    if (disabled) return () => seen.disconnect()
    field.addEventListener('pointerdown', down)
    field.addEventListener('pointermove', drag)
    field.addEventListener('pointerup', up)
    field.addEventListener('pointercancel', up)
    // A page that scrolled under a turning hand would be no field.
    field.addEventListener('wheel', wheel, { passive: false })
    window.addEventListener('keydown', key)
    return () => {
      seen.disconnect()
      field.removeEventListener('pointerdown', down)
      field.removeEventListener('pointermove', drag)
      field.removeEventListener('pointerup', up)
      field.removeEventListener('pointercancel', up)
      field.removeEventListener('wheel', wheel)
      window.removeEventListener('keydown', key)
    }
  }, [disabled])

  // Another string: its peg has not been moved yet.
  // biome-ignore lint/correctness/useExhaustiveDependencies: the title is the signal
  useEffect(() => {
    move.current = { trail: [], atMs: 0 }
    setTold(0)
    const ruler = canvas.current === null ? null : rulerOn(canvas.current)
    if (ruler !== null) drawField(ruler.context, ruler, [])
  }, [title])

  return (
    <div className="drill-field">
      <canvas
        ref={canvas}
        role="slider"
        tabIndex={0}
        aria-label={title === '' ? 'Peg' : `Peg of ${title}`}
        aria-orientation="horizontal"
        aria-valuemin={-360}
        aria-valuemax={360}
        aria-valuenow={told}
        aria-valuetext={`moved ${degreesWord(told)}`}
        aria-disabled={disabled}
      />
      <span className="drill-field-label top left">coarse: 5° a line</span>
      <span className="drill-field-label top right">let go: it stays</span>
      <span className="drill-field-label bottom left">fine: 1° a line</span>
      <span className="drill-field-label bottom right">sharper →</span>
    </div>
  )
}
