/** The width an element has, as state: pictures are drawn to the pixel. */
import { type RefObject, useLayoutEffect, useRef, useState, useSyncExternalStore } from 'react'

/** 0 until it is laid out. */
export function useWidth<E extends HTMLElement>(): readonly [RefObject<E | null>, number] {
  const element = useRef<E | null>(null)
  const [widthPx, setWidthPx] = useState(0)
  useLayoutEffect(() => {
    const { current } = element
    if (current === null) return
    const observer = new ResizeObserver(([entry]) => {
      if (entry !== undefined) setWidthPx(Math.floor(entry.contentRect.width))
    })
    observer.observe(current)
    setWidthPx(Math.floor(current.getBoundingClientRect().width))
    return () => observer.disconnect()
  }, [])
  return [element, widthPx]
}

function useMedia(condition: string): boolean {
  return useSyncExternalStore(
    (hear) => {
      const query = window.matchMedia(condition)
      query.addEventListener('change', hear)
      return () => query.removeEventListener('change', hear)
    },
    () => window.matchMedia(condition).matches,
  )
}

/** One column, one hand. */
export const useNarrow = (): boolean => useMedia('(max-width: 599.98px)')

/** Rail at the side, room beside the sentence. */
export const useWide = (): boolean => useMedia('(min-width: 1000px)')

export const useWindowHeight = (): number =>
  useSyncExternalStore(
    (hear) => {
      window.addEventListener('resize', hear)
      return () => window.removeEventListener('resize', hear)
    },
    () => window.innerHeight,
  )
