/** A plain axis for a row of dots: limits with room for the labels, and a few round ticks. */
export interface Axis {
  readonly low: number
  readonly high: number
  readonly ticks: readonly number[]
}

/** Share of the span left free at either end: half a mark and part of its label. */
const rim = 0.12

/** `values` may hold NaN; at most `mostTicks` ticks, one or more. `atLeast` widens the span to what must be seen, such as an alarm. */
export function axisOf(values: readonly number[], mostTicks: number, atLeast: readonly number[] = []): Axis {
  const seen = [...values, ...atLeast].filter(Number.isFinite)
  if (seen.length === 0) return { low: 0, high: 1, ticks: [] }
  const [least, most] = [Math.min(...seen), Math.max(...seen)]
  // One value only, or all alike: a tenth of it to either side, so that the mark stands in the middle.
  const span = most - least || Math.max(Math.abs(most) * 0.2, 1e-9)
  const [low, high] = [(least + most - span) / 2 - rim * span, (least + most + span) / 2 + rim * span]
  return { low, high, ticks: roundTicks(low, high, mostTicks) }
}

/** Multiples of 1, 2 or 5 times a power of ten, the finest that stay within `most`. */
function roundTicks(low: number, high: number, most: number): number[] {
  const power = 10 ** Math.floor(Math.log10((high - low) / most))
  const steps = [1, 2, 5, 10, 20, 50].map((size) => size * power)
  const ticks = steps.map((step) => {
    const first = Math.ceil(low / step)
    // Whole multiples, so that 0.3 is not 0.30000000000000004.
    return Array.from({ length: Math.max(0, Math.floor(high / step) - first + 1) }, (_, at) =>
      Number(((first + at) * step).toPrecision(6)),
    )
  })
  return ticks.find((list) => list.length <= most) ?? []
}
