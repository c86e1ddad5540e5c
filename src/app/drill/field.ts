/**
 * The turning field: lines of equal degrees spread downward, so high is coarse and low is fine. One rule says how many pixels a
 * degree takes at a height; lines, ring and hand all go by it.
 */

/** Degrees from the middle to the edge, at the top and at the bottom. */
const topDeg = 44
const bottomDeg = 4.9
export const coarseStepDeg = 5
export const fineStepDeg = 1
/** Lines of single degrees begin where they stand well apart. */
export const fineFromShare = 0.36

export interface FieldSize {
  readonly widthPx: number
  readonly heightPx: number
}

/** Pixels a degree, `yPx` under the top edge: even steps down the field are equal ratios. */
export function pxPerDegree(yPx: number, { widthPx, heightPx }: FieldSize): number {
  const share = Math.min(1, Math.max(0, yPx / heightPx))
  return widthPx / 2 / (topDeg * (bottomDeg / topDeg) ** share)
}

export interface TrailPoint {
  readonly deg: number
  /** Share of the height. */
  readonly share: number
}

const ink = { text: '#f1ede4', line: '#5b626b', fine: '#363c44', trail: '#bdb9b0', ground: '#0d0f12' } as const
const ringPx = 29
const stepPx = 8

/** `trail`: of the present move, oldest first; its last point carries the ring. */
export function drawField(context: CanvasRenderingContext2D, size: FieldSize, trail: readonly TrailPoint[]): void {
  const { widthPx, heightPx } = size
  context.clearRect(0, 0, widthPx, heightPx)
  const middle = widthPx / 2
  const lines = (stepDeg: number, fromShare: number, colour: string, thick: number): void => {
    context.strokeStyle = colour
    context.lineWidth = thick
    context.beginPath()
    const fromPx = fromShare * heightPx
    const most = Math.floor(middle / pxPerDegree(fromPx, size) / stepDeg)
    for (let n = 1; n <= most; n++) {
      for (const side of [-1, 1]) {
        for (let y = fromPx; y <= heightPx; y += stepPx) {
          const x = middle + side * n * stepDeg * pxPerDegree(y, size)
          if (y === fromPx) context.moveTo(x, y)
          else context.lineTo(x, y)
          if (x < 0 || x > widthPx) break
        }
      }
    }
    context.stroke()
  }
  lines(fineStepDeg, fineFromShare, ink.fine, 1)
  lines(coarseStepDeg, 0, ink.line, 1.4)
  context.strokeStyle = ink.text
  context.lineWidth = 2
  context.beginPath()
  context.moveTo(middle, 16)
  context.lineTo(middle, heightPx - 16)
  context.stroke()
  const last = trail.at(-1)
  if (last === undefined) return
  const place = ({ deg, share }: TrailPoint): readonly [number, number] => {
    const y = share * heightPx
    return [middle + deg * pxPerDegree(y, size), y]
  }
  context.strokeStyle = ink.trail
  context.lineWidth = 3
  context.beginPath()
  for (const [at, point] of trail.entries()) {
    const [x, y] = place(point)
    if (at === 0) context.moveTo(x, y)
    else context.lineTo(x, y)
  }
  context.stroke()
  const [fromX, fromY] = place(trail[0] as TrailPoint)
  context.fillStyle = ink.text
  context.beginPath()
  context.arc(fromX, fromY, 4, 0, 2 * Math.PI)
  context.fill()
  drawRing(context, size, place(last), last.deg)
}

function drawRing(
  context: CanvasRenderingContext2D,
  { widthPx, heightPx }: FieldSize,
  [toX, toY]: readonly [number, number],
  deg: number,
): void {
  const inset = ringPx + 3
  const x = Math.min(widthPx - inset, Math.max(inset, toX))
  const y = Math.min(heightPx - inset, Math.max(inset, toY))
  context.fillStyle = ink.ground
  context.globalAlpha = 0.85
  context.beginPath()
  context.arc(x, y, ringPx, 0, 2 * Math.PI)
  context.fill()
  context.globalAlpha = 1
  context.strokeStyle = ink.text
  context.lineWidth = 3
  context.stroke()
  context.fillStyle = ink.text
  context.font = '700 16px system-ui, sans-serif'
  context.textAlign = 'center'
  context.textBaseline = 'middle'
  context.fillText(degreesWord(deg), x, y)
}

/** "+3.4°", "−12°". */
export function degreesWord(deg: number): string {
  const text = Math.abs(deg).toFixed(Math.abs(deg) < 9.95 ? 1 : 0)
  if (Number(text) === 0) return `${text}°`
  return `${deg < 0 ? '−' : '+'}${text}°`
}
