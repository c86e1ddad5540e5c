/**
 * Which method to use rough and which fine in a room, with the reason in words, and which are as good.
 *
 * Rough: the quickest to a claim within 5 c, plucks without one counting as never. Fine: the smallest error of a claim within the
 * time, plucks without one counting as worse than any. Another method ties where it is ahead of the chosen one in at least one in
 * forty of the drawn sessions: a session of that many plucks would not tell them apart.
 */

/** One method in one trial; no claim: Infinity and NaN. */
export interface Heard {
  readonly lockS: number
  readonly errorCents: number
  readonly isTrue: boolean
  readonly isFalse: boolean
}

export interface Chosen {
  /** null: none locks in half of the plucks. */
  readonly method: string | null
  /** As good in such a session, best first. */
  readonly ties: readonly string[]
  /** What the method is, or a sentence where there is none. */
  readonly reason: string
}

/** "mpm is quickest here to a claim within 5 c: half of the plucks within 0.40 s; as good in such a session: yin." */
export function chosenSentence(
  { method, ties, reason }: Chosen,
  nameOf: (method: string) => string = (name) => name,
): string {
  if (method === null) return reason
  const told = ties.length === 0 ? '' : `; as good in such a session: ${ties.map(nameOf).join(', ')}`
  return `${nameOf(method)} is ${reason}${told}.`
}

export interface ToldMethod {
  readonly method: string
  readonly all: readonly Heard[]
  /** Of the same sessions for every method, in the same order. */
  readonly sessions: readonly (readonly Heard[])[]
}

/** Two-sided 5 %. */
const tieShare = 0.025

export const chosenMethods = (methods: readonly ToldMethod[]): { readonly rough: Chosen; readonly fine: Chosen } => ({
  rough: chosen(
    methods,
    (heard) => lowerMedian(heard.map(({ lockS, isTrue }) => (isTrue ? lockS : Number.POSITIVE_INFINITY))),
    (value) => `quickest here to a claim within 5 c: half of the plucks within ${value.toFixed(2)} s`,
    'No method makes a claim within 5 c in half of the plucks.',
  ),
  fine: chosen(
    methods,
    (heard) =>
      lowerMedian(heard.map(({ errorCents }) => (Number.isNaN(errorCents) ? Number.POSITIVE_INFINITY : errorCents))),
    (value) => `the most exact here: half of the plucks within ${value.toFixed(1)} c`,
    'No method makes a claim in half of the plucks.',
  ),
})

/** With an even number the lower of the middle two: by then half have come. */
export function lowerMedian(values: readonly number[]): number {
  const sorted = Float64Array.from(values).sort()
  return sorted[(sorted.length - 1) >> 1]
}

function chosen(
  methods: readonly ToldMethod[],
  tell: (heard: readonly Heard[]) => number,
  words: (value: number) => string,
  none: string,
): Chosen {
  const ranked = methods
    .map((one) => ({ ...one, value: tell(one.all), drawn: one.sessions.map(tell) }))
    .filter(({ value }) => Number.isFinite(value))
    .sort((a, b) => a.value - b.value)
  const [best, ...others] = ranked
  if (best === undefined) return { method: null, ties: [], reason: none }
  const ties = others
    .filter(({ drawn }) => drawn.filter((value, at) => value <= best.drawn[at]).length > tieShare * drawn.length)
    .map(({ method }) => method)
  return { method: best.method, ties, reason: words(best.value) }
}
