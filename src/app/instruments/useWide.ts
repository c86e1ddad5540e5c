/** Whether there is room for the list beside the open instrument. */
import { useSyncExternalStore } from 'react'

const wide = '(min-width: 1000px)'

export const useWide = (): boolean =>
  useSyncExternalStore(
    (hear) => {
      const query = window.matchMedia(wide)
      query.addEventListener('change', hear)
      return () => query.removeEventListener('change', hear)
    },
    () => window.matchMedia(wide).matches,
  )
