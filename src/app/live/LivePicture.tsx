/**
 * Methods side by side on a live sound: large digits of the first, a cents ruler each, and how far they differ.
 *
 * Readings never enter React's state. One loop a frame asks the view for what is new and draws the rulers that it changes;
 * digits and words are written at most ten times a second, the text for screen readers at most once a second. Without a target nothing can be off
 * it: the rows stay empty until a string is in hand.
 */
import { useEffect, useRef } from 'react'
import type { Spectrum } from '../../core/maths/spectrum.ts'
import { methodById } from '../../core/methods/index.ts'
import type { ClaimSettings } from '../../core/score/score.ts'
import type { Live } from '../../host/live.ts'
import type { LiveChoice } from '../../host/livemessages.ts'
import { type LiveRow, LiveView } from '../../host/liveview.ts'
import { MarkIcon, slotOf } from '../bench/slots.tsx'
import { drawRuler, drawScale, rulerOn } from './drawRuler.ts'
import {
  besideAnother,
  differenceWords,
  insideWords,
  type RowTold,
  rowTold,
  sideWord,
  stateWords,
  written,
} from './rows.ts'

export interface LiveSettings {
  readonly toleranceCents: number
  readonly claim: ClaimSettings
  /** What blind methods are told, Hz. */
  readonly lowestHz: number
  readonly highestHz: number
  /** The room as it was learnt, or null. */
  readonly room: Spectrum | null
}

export interface LivePictureProps {
  readonly live: Live
  readonly settings: LiveSettings
  /** The first is shown in large digits. Keep the array while it is the same: a new one begins anew. */
  readonly methods: readonly LiveChoice[]
  /** `find`: no string is in hand yet. */
  readonly targetHz: number | 'find'
  /** Its name, such as "A2"; '' for none. */
  readonly targetTitle: string
  /** What stands there while no string is in hand. */
  readonly waiting: string
  /** A change of it begins a new take: a pluck was heard. */
  readonly pluck: number
  /** That another note than the string's sounds, as a sentence; '': not known. Any change begins a new take as well. */
  readonly foreign: string
}

const wordsMs = 100
const spokenMs = 1000

const plainName = (id: string): string => methodById(id).title

export function LivePicture(props: LivePictureProps) {
  const { live, settings, methods, targetHz, targetTitle, waiting, pluck, foreign } = props
  const { toleranceCents, claim, lowestHz, highestHz, room } = settings
  const root = useRef<HTMLDivElement | null>(null)
  const restart = useRef<() => void>(() => {})
  const another = useRef(foreign)

  useEffect(() => {
    const { current } = root
    if (current === null) return
    const target = targetHz === 'find' ? null : targetHz
    const running = methods.filter(({ id }) => target !== null || methodById(id).family !== 'aimed')
    const view = new LiveView(
      live.choose(running, { lowestHz, highestHz, targetHz: target, room }),
      live.sampleRateHz,
      claim,
    )
    const isAimed = running.map(({ id }) => methodById(id).family === 'aimed')
    const drawing = drawnRows(current, methods, running, toleranceCents)
    restart.current = () => {
      const toS = Math.max(0, ...view.rows.map((row) => (Number.isNaN(row.toS) ? 0 : row.toS)))
      view.restart(Math.round(toS * live.sampleRateHz))
    }
    let [frame, wroteMs, spokeMs] = [0, 0, 0]
    const draw = (nowMs: number): void => {
      frame = requestAnimationFrame(draw)
      view.update()
      const told = view.rows.map((row, slot) => {
        if (target === null) return null
        const own = rowTold(row, target, toleranceCents)
        return another.current === '' ? own : besideAnother(own, isAimed[slot] === true)
      })
      drawing.picture(told, view.rows)
      if (nowMs - wroteMs >= wordsMs) {
        wroteMs = nowMs
        drawing.words(told, another.current)
      }
      if (nowMs - spokeMs >= spokenMs) {
        spokeMs = nowMs
        drawing.speak(told, another.current)
      }
    }
    frame = requestAnimationFrame(draw)
    return () => cancelAnimationFrame(frame)
  }, [live, methods, targetHz, lowestHz, highestHz, room, claim, toleranceCents])

  // biome-ignore lint/correctness/useExhaustiveDependencies: the number is the signal
  useEffect(() => {
    another.current = foreign
    restart.current()
  }, [pluck, foreign])

  return (
    <div className="live" ref={root}>
      <div className="live-first">
        <p className="live-target">
          {targetHz === 'find' ? (
            waiting
          ) : (
            <>
              <strong>{targetTitle}</strong> {targetHz.toFixed(2)} Hz, {plainName(methods[0]?.id ?? '')}
            </>
          )}
        </p>
        <p className="live-digits" aria-hidden="true">
          <span data-live="digits" />
          <span className="live-unit" data-live="unit" />
        </p>
        <p className="live-inside" aria-hidden="true">
          <span data-live="inside" />
          <span data-live="side" />
        </p>
        <p className="live-steady" data-live="steady" aria-hidden="true" />
        <p className="live-claim quiet" data-live="claim" aria-hidden="true" />
      </div>
      <section className="live-rows" aria-label="Methods side by side">
        {methods.map(({ id }) => (
          <div className="live-row" key={id}>
            <span className="live-name">
              <MarkIcon methodId={id} />
              {plainName(id)}
            </span>
            <canvas data-live="ruler" />
            <span className="live-readout" aria-hidden="true">
              <strong data-live="cents" />
              <span data-live="state" className="quiet" />
            </span>
          </div>
        ))}
        <div className="live-row live-scale" aria-hidden="true">
          <span className="notes">flat, c</span>
          <canvas data-live="scale" />
          <span className="notes">sharp, c</span>
        </div>
      </section>
      <p className="live-difference" data-live="difference" aria-hidden="true" />
      <p className="unseen" aria-live="polite" data-live="spoken" />
    </div>
  )
}

/** Everything that is written to by hand, found once. */
function drawnRows(
  root: HTMLElement,
  methods: readonly LiveChoice[],
  running: readonly LiveChoice[],
  toleranceCents: number,
) {
  const one = (name: string): HTMLElement | null => root.querySelector(`[data-live="${name}"]`)
  const all = <E extends HTMLElement>(name: string): E[] => [...root.querySelectorAll<E>(`[data-live="${name}"]`)]
  const canvases = all<HTMLCanvasElement>('ruler')
  const [digits, unit, inside, side] = [one('digits'), one('unit'), one('inside'), one('side')]
  const [steadyFor, claim, difference, spoken] = [one('steady'), one('claim'), one('difference'), one('spoken')]
  const [centsCells, stateCells] = [all('cents'), all('state')]
  const scale = root.querySelector<HTMLCanvasElement>('[data-live="scale"]')
  const slotAt = methods.map((choice) => running.indexOf(choice))
  const styles = methods.map(({ id }) => slotOf(id))
  const titles = methods.map(({ id }) => plainName(id))
  let scaleWidth = 0
  /** What each ruler shows: nothing is drawn again that would look the same. */
  const drawn = methods.map(() => ({ count: -1, inside: false, widthPx: 0, ratio: 0 }))

  const at = (told: readonly (RowTold | null)[], row: number): RowTold | null => told[slotAt[row] ?? -1] ?? null

  return {
    picture(told: readonly (RowTold | null)[], rows: readonly LiveRow[]): void {
      for (const [row, canvas] of canvases.entries()) {
        const own = at(told, row)
        const [style, last] = [styles[row], drawn[row]]
        if (style === undefined || last === undefined) continue
        // What is read as this string and is none has no place on its ruler.
        const shown = own?.state === 'another' ? null : own
        const now = {
          count: shown === null ? 0 : (rows[slotAt[row] ?? -1]?.count ?? 0),
          inside: own?.inside === true,
          widthPx: canvas.clientWidth,
          ratio: window.devicePixelRatio,
        }
        const same = now.count === last.count && now.inside === last.inside
        if (same && now.widthPx === last.widthPx && now.ratio === last.ratio) continue
        const ruler = rulerOn(canvas)
        if (ruler === null) continue
        drawRuler(ruler, style, shown, toleranceCents)
        drawn[row] = now
      }
      if (scale !== null && scale.clientWidth !== scaleWidth) {
        const ruler = rulerOn(scale)
        if (ruler !== null) drawScale(ruler)
        scaleWidth = scale.clientWidth
      }
    },
    words(told: readonly (RowTold | null)[], foreign: string): void {
      const first = at(told, 0)
      const reads = first !== null && !Number.isNaN(first.cents)
      write(digits, reads ? written(first.cents) : '')
      write(unit, reads ? 'c' : '')
      const isBack = first?.state === 'another'
      digits?.classList.toggle('put-back', isBack)
      const steady = first?.state === 'steady'
      const none = first === null ? '' : insideWords(first, toleranceCents)
      write(inside, steady ? `${first.inside ? 'inside' : 'outside'} ±${toleranceCents}` : none)
      inside?.classList.toggle('bracketed', first?.inside === true)
      write(side, steady ? sideWord(first.cents) : '')
      write(steadyFor, first === null ? '' : stateWords(first))
      const claimed = first?.claimCents ?? null
      write(claim, claimed === null ? foreign : `First claim of this pluck: ${written(claimed)} c.`)
      claim?.classList.toggle('foreign', foreign !== '')
      for (const row of methods.keys()) {
        const own = at(told, row)
        write(centsCells[row], own === null || own.state !== 'steady' ? '' : `${written(own.cents)} c`)
        const waits = slotAt[row] === -1 ? 'needs a string' : 'no reading yet'
        write(stateCells[row], own === null ? waits : stateWords(own))
      }
      const rows = methods.flatMap((_, row) => {
        const own = at(told, row)
        return own === null ? [] : [{ title: titles[row] ?? '', told: own }]
      })
      write(difference, differenceWords(rows))
    },
    speak(told: readonly (RowTold | null)[], foreign: string): void {
      if (foreign !== '') {
        write(spoken, foreign)
        return
      }
      const first = at(told, 0)
      const words = first === null ? '' : insideWords(first, toleranceCents)
      write(spoken, first?.state === 'steady' ? `${written(first.cents)} cents, ${words}` : words)
    },
  }
}

/** Written only when it changed: screen readers and layout are spared the rest. */
function write(element: HTMLElement | null | undefined, text: string): void {
  if (element !== null && element !== undefined && element.textContent !== text) element.textContent = text
}
