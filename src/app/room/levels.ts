/** The newest level of the input, outside React: whoever draws it looks here once a frame. */
import type { HeardLevel } from './hearingmessages.ts'

let newest: HeardLevel | null = null

export const newestLevel = (): HeardLevel | null => newest

export function setLevel(level: HeardLevel | null): void {
  newest = level
}
