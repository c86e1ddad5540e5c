/** A page is one file that exports one of these, and one line in main.tsx. */
import type { ComponentType } from 'react'

export interface Page {
  /** Behind the `#/`; '' is the first page. */
  readonly path: string
  /** Its word in the rail; null: reached from other pages only. */
  readonly title: string | null
  readonly Page: ComponentType
}
