/** A study's rooms as a person ticks them: by name, each with its string, with none, with the wrong one. */
import type { StudyRoom, Variant } from '../../core/study/study.ts'

export const variantWords: readonly { readonly variant: Variant; readonly word: string }[] = [
  { variant: 'string', word: 'With the string' },
  { variant: 'no-string', word: 'No string' },
  { variant: 'wrong-string', word: 'Wrong string' },
]

const idOf = (base: string, variant: Variant): string => (variant === 'string' ? base : `${base}/${variant}`)

/** The room's name without what sounds in it. */
export const baseOf = ({ id }: Pick<StudyRoom, 'id'>): string => id.split('/')[0] ?? id

export const variantsOf = (rooms: readonly StudyRoom[], base: string): readonly Variant[] =>
  rooms.filter((room) => baseOf(room) === base).map(({ variant }) => variant)

/**
 * `plain` in just these variants. Rooms stay in the order of `order`, those that nobody lists at the end, variants in the
 * order above; what is there already stays as it is.
 */
export function withVariants(
  rooms: readonly StudyRoom[],
  plain: StudyRoom,
  variants: readonly Variant[],
  order: readonly string[],
): readonly StudyRoom[] {
  const base = baseOf(plain)
  const wanted = variantWords
    .filter(({ variant }) => variants.includes(variant))
    .map(({ variant }): StudyRoom => {
      const id = idOf(base, variant)
      return rooms.find((room) => room.id === id) ?? { ...plain, id, variant }
    })
  const place = (room: StudyRoom): number => {
    const at = order.indexOf(baseOf(room))
    return at < 0 ? order.length : at
  }
  return [...rooms.filter((room) => baseOf(room) !== base), ...wanted].sort((a, b) => place(a) - place(b))
}
