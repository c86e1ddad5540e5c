/** Where the sound is, over a picture that shares the chart's time axis. Moves without redrawing the picture. */
import { useSyncExternalStore } from 'react'
import { type Frame, xOf } from './ruler.ts'
import type { HeardPosition } from './useHearing.ts'

export function Playhead(props: {
  position: HeardPosition
  frame: Frame
  left: number
  top: number
  heightPx: number
}) {
  const { position, frame, left, top, heightPx } = props
  const takeS = useSyncExternalStore(position.subscribe, position.get)
  if (takeS === null || takeS < frame.fromS || takeS > frame.toS) return null
  return (
    <div className="playhead" style={{ left: left + xOf(takeS, frame), top, height: heightPx }} aria-hidden="true" />
  )
}
