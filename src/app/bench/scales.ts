/**
 * Where values stand in a picture. The pictures of a row share one scale, so it is drawn once at the left; recharts is
 * given the same limits. A log axis cannot show 0: values are clamped to the limits, and a clamped mark stands at the edge.
 */
export interface Limits {
  readonly low: number
  readonly high: number
}

/** Room above and below the limits: half a mark, and a tip beyond it for what is off the scale. */
export const rimPx = 12

export const clamp = (value: number, { low, high }: Limits): number => Math.min(high, Math.max(low, value))

/** Heights of the pictures, shared by everything that stands beside them. */
export interface Heights {
  readonly errorPx: number
  readonly timePx: number
}

/** What a window of 800 px holds without scrolling; a taller one is used, up to half as much again. */
export function heightsIn(windowPx: number): Heights {
  const sparePx = Math.min(170, Math.max(0, windowPx - 800))
  return { errorPx: 200 + Math.round(0.6 * sparePx), timePx: 130 + Math.round(0.4 * sparePx) }
}

/** Pixels from the top of a picture that is `heightPx` high, rims included. */
export function logY(value: number, limits: Limits, heightPx: number): number {
  const { low, high } = limits
  const share = (Math.log(high) - Math.log(clamp(value, limits))) / (Math.log(high) - Math.log(low))
  return rimPx + share * (heightPx - 2 * rimPx)
}

/** Ratios at their distances, half a step of room at both ends. */
export function ratioLimits(ratios: readonly number[]): Limits {
  const first = ratios[0] ?? 0
  const last = ratios.at(-1) ?? 0
  const pad = smallestStep(ratios) / 2
  return { low: first - pad, high: last + pad }
}

export function smallestStep(ratios: readonly number[]): number {
  const steps = ratios.slice(1).map((ratio, at) => ratio - (ratios[at] ?? 0))
  return steps.length === 0 ? 10 : Math.min(...steps)
}

export function linearX(value: number, { low, high }: Limits, widthPx: number): number {
  return ((value - low) / (high - low)) * widthPx
}

/** Two decades more only when the figures need them: an aimed method in a quiet room goes below a tenth of a cent. */
export function errorLimits(values: readonly number[]): Limits {
  return { low: values.some((value) => value < 0.1) ? 0.01 : 0.1, high: 100 }
}

const timeSteps: readonly number[] = [0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 60]

/** From 50 ms to 2 s; further when a method is steady sooner or the take is longer. */
export function timeLimits(values: readonly number[], longestS: number): Limits {
  const high = timeSteps.find((step) => step >= Math.max(2, longestS)) ?? 60
  return { low: values.some((value) => value < 0.05) ? 0.01 : 0.05, high }
}

export const timeTicks = ({ low, high }: Limits): readonly number[] =>
  timeSteps.filter((step) => step >= low && step <= high)

export const errorTicks = ({ low }: Limits): readonly number[] =>
  low < 0.1 ? [0.01, 0.1, 1, 10, 100] : [0.1, 1, 10, 100]

/** Labels pushed apart to at least `gapPx`, kept within `heightPx`, in the order of their wishes. */
export function spread(wishesPx: readonly number[], gapPx: number, heightPx: number): readonly number[] {
  const order = wishesPx.map((wish, at) => ({ wish, at })).sort((a, b) => a.wish - b.wish)
  const placed: number[] = []
  for (const { wish } of order) placed.push(Math.max(wish, (placed.at(-1) ?? Number.NEGATIVE_INFINITY) + gapPx))
  let limit = heightPx
  for (let at = placed.length - 1; at >= 0; at -= 1) {
    placed[at] = Math.min(placed[at] as number, limit)
    limit = (placed[at] as number) - gapPx
  }
  const result = new Array<number>(wishesPx.length)
  order.forEach(({ at }, place) => {
    result[at] = placed[place] as number
  })
  return result
}
