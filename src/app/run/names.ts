/**
 * What the methods of a study are called on the page: as the summary names them, so the same method with other settings or
 * behind a display is a line of its own. The method's id is the first word of the name: ids hold no space.
 */
import { methodNames } from '../../core/score/summary.ts'
import type { MethodChoice, Study } from '../../core/study/study.ts'

/** In the study's order, all different. */
export const namesOf = ({ methods }: Pick<Study, 'methods'>): readonly string[] => methods.map(methodNames(methods))

export const methodIdOf = (name: string): string => name.split(' ', 1)[0] ?? name

/** The choice under its name alone: for code that tells methods apart by id. */
export const named =
  (choices: readonly MethodChoice[]) =>
  <T extends { readonly method: MethodChoice }>(told: T): T => ({
    ...told,
    method: { id: methodNames(choices)(told.method), values: {} },
  })
