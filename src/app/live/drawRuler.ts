/** The cents ruler of one method on a canvas: five readings, whisker, brackets. Every size is one of the look's own. */
import { outlines, type Slot } from '../bench/slots.tsx'
import { limitCents, rulerShare, rulerTicks } from '../trial/ruler.ts'
import type { RowTold } from './rows.ts'

export interface Ruler {
  readonly context: CanvasRenderingContext2D
  readonly widthPx: number
  readonly heightPx: number
}

const ink = { panel: '#14171b', text: '#f1ede4', edge: '#8a919b', rim: '#0d0f12', notes: '#b2aea5' } as const
const radius = 6.5
/** Newest first: how large, how plain. */
const sizes = [1, 0.72, 0.64, 0.56, 0.5] as const
const opacities = [1, 0.92, 0.86, 0.8, 0.75] as const
const marginPx = 12
const armPx = 7
const capPx = 8
const tickPx = 8
const bracketPx = { inside: 2.4, outside: 1.4 } as const

const xOf = (cents: number, widthPx: number): number =>
  widthPx / 2 + (widthPx / 2 - marginPx) * rulerShare(Math.max(-limitCents, Math.min(limitCents, cents)))

/** Sized to its element and the screen's pixels; null while it has no size. */
export function rulerOn(canvas: HTMLCanvasElement): Ruler | null {
  const { clientWidth: widthPx, clientHeight: heightPx } = canvas
  const context = canvas.getContext('2d')
  if (context === null || widthPx === 0 || heightPx === 0) return null
  const scale = window.devicePixelRatio || 1
  const [width, height] = [Math.round(widthPx * scale), Math.round(heightPx * scale)]
  if (canvas.width !== width || canvas.height !== height) {
    canvas.width = width
    canvas.height = height
  }
  context.setTransform(scale, 0, 0, scale, 0, 0)
  context.clearRect(0, 0, widthPx, heightPx)
  return { context, widthPx, heightPx }
}

/** `told` null: an empty row. */
export function drawRuler(ruler: Ruler, slot: Slot, told: RowTold | null, toleranceCents: number): void {
  const { context, widthPx, heightPx } = ruler
  context.fillStyle = ink.panel
  context.fillRect(0, 0, widthPx, heightPx)
  line(context, ink.edge, 1, () => {
    for (const tick of rulerTicks) {
      const x = xOf(tick, widthPx)
      context.moveTo(x, tick === 0 ? 0 : heightPx - tickPx)
      context.lineTo(x, heightPx)
    }
  })
  drawBrackets(ruler, toleranceCents, told?.inside === true)
  if (told === null) return
  drawWhisker(ruler, slot, told)
  // The oldest first: the newest lies on top.
  for (let i = sizes.length - 1; i >= 0; i--) {
    const cents = told.lastCents[i] ?? Number.NaN
    if (Number.isNaN(cents)) continue
    context.globalAlpha = opacities[i] ?? 1
    const y = yOf(i, heightPx)
    if (Math.abs(cents) > limitCents) drawArrow(ruler, slot, Math.sign(cents), y)
    else drawMark(context, slot, xOf(cents, widthPx), y, radius * (sizes[i] ?? 1))
    context.globalAlpha = 1
  }
}

/** Which labels are worth their place: the middle and the ends, then what a tolerance may be. The unit itself is never labelled. */
const labelled = [0, 50, 5, 20, 10, 2] as const
/** Labels nearer than this run into one word. */
const apartPx = 6

/** Labels under the rows, as many as have room. */
export function drawScale({ context, widthPx, heightPx }: Ruler): void {
  context.font = '13px system-ui, sans-serif'
  context.textAlign = 'center'
  context.textBaseline = 'middle'
  const taken: { readonly x: number; readonly half: number }[] = []
  for (const size of labelled) {
    const signs = size === 0 ? [1] : [-1, 1]
    const places = signs.map((sign) => {
      const text = size === 0 ? '0' : `${sign < 0 ? '−' : '+'}${size}`
      const half = context.measureText(text).width / 2
      return { text, half, x: Math.max(half, Math.min(widthPx - half, xOf(sign * size, widthPx))) }
    })
    const free = places.every(({ x, half }) =>
      taken.every((other) => Math.abs(x - other.x) >= half + other.half + apartPx),
    )
    if (!free) continue
    context.fillStyle = size === 0 ? ink.text : ink.notes
    for (const { text, x } of places) context.fillText(text, x, heightPx / 2)
    taken.push(...places)
  }
}

/** Five rows of readings within the height, the newest at the top. */
const yOf = (i: number, heightPx: number): number => {
  const top = Math.min(radius + 3, heightPx / 4)
  return top + (i * (heightPx - top - tickPx)) / sizes.length
}

function drawBrackets({ context, widthPx, heightPx }: Ruler, toleranceCents: number, inside: boolean): void {
  const thick = inside ? bracketPx.inside : bracketPx.outside
  line(context, inside ? ink.text : ink.edge, thick, () => {
    for (const side of [-1, 1]) {
      const x = xOf(side * toleranceCents, widthPx)
      context.moveTo(x - side * armPx, thick / 2)
      context.lineTo(x, thick / 2)
      context.lineTo(x, heightPx - thick / 2)
      context.lineTo(x - side * armPx, heightPx - thick / 2)
    }
  })
}

function drawWhisker({ context, widthPx, heightPx }: Ruler, slot: Slot, { cents, whiskerCents }: RowTold): void {
  if (!Number.isFinite(whiskerCents) || !(Math.abs(cents) <= limitCents)) return
  const [from, to] = [xOf(cents - whiskerCents, widthPx), xOf(cents + whiskerCents, widthPx)]
  const y = yOf(0, heightPx)
  line(context, slot.colour, 2, () => {
    context.moveTo(from, y)
    context.lineTo(to, y)
    for (const x of [from, to]) {
      context.moveTo(x, y - capPx / 2)
      context.lineTo(x, y + capPx / 2)
    }
  })
}

function drawArrow({ context, widthPx }: Ruler, slot: Slot, side: number, y: number): void {
  const x = widthPx / 2 + side * (widthPx / 2 - 2)
  line(context, slot.colour, 2, () => {
    context.moveTo(x - side * 7, y - 5)
    context.lineTo(x, y)
    context.lineTo(x - side * 7, y + 5)
  })
}

const paths = new Map<string, Path2D>()

function drawMark(context: CanvasRenderingContext2D, slot: Slot, x: number, y: number, size: number): void {
  const outline = outlines[slot.marker]
  const open = slot.marker.startsWith('open') || slot.marker === 'ring'
  const lines = slot.marker === 'plus' || slot.marker === 'cross'
  let path = paths.get(slot.marker)
  if (path === undefined) {
    path = new Path2D(outline)
    if (outline === undefined) path.arc(0, 0, 1, 0, 2 * Math.PI)
    paths.set(slot.marker, path)
  }
  context.save()
  context.translate(x, y)
  context.scale(size, size)
  context.lineWidth = 2.4 / size
  context.fillStyle = open ? ink.rim : slot.colour
  context.strokeStyle = open || lines ? slot.colour : ink.rim
  if (!lines) context.fill(path)
  context.stroke(path)
  context.restore()
}

function line(context: CanvasRenderingContext2D, colour: string, thick: number, draw: () => void): void {
  context.strokeStyle = colour
  context.lineWidth = thick
  context.beginPath()
  draw()
  context.stroke()
}
