/**
 * A plan's chain as a choice of a study, to be scored by the same trials as any method (study/chained.ts says what it reads on one
 * pluck).
 *
 * Stages of one method in a row are one there: on a single pluck nobody turns, and its second listening would be the first.
 */
import type { EarlierStage, MethodChoice } from '../study/study.ts'
import type { Chain } from './chain.ts'

/** `methods`: the choices that the chain's places speak of. A chain of one method is that method's choice. */
export function choiceOfChain({ stages }: Chain, methods: readonly MethodChoice[]): MethodChoice {
  const different = stages.filter(({ method }, at) => method !== stages[at + 1]?.method)
  const last = methods[different[different.length - 1].method]
  if (different.length === 1) return last
  const after = different.slice(0, -1).map(({ method, letGoCents }): EarlierStage => {
    const { id, values, display } = methods[method]
    return { id, values, ...(display === undefined ? {} : { display }), letGoCents }
  })
  return { ...last, after }
}
