/** Level of the input: power, peak held, floor, overload in words. Written ten times a second, outside React's state. */
import { useEffect, useRef } from 'react'
import { newestLevel } from './levels.ts'

const lowestDb = -72
const ticks = [-60, -50, -40, -30, -20, -10, 0]
const writeMs = 100

const shareOf = (db: number): number => Math.max(0, Math.min(1, 1 - db / lowestDb))
const percent = (db: number): string => `${(100 * shareOf(db)).toFixed(1)}%`
const whole = (db: number): string => (db < lowestDb ? 'none' : `${Math.round(db)}`.replace('-', '−'))

export function LevelMeterPicture({ onReset }: { onReset(): void }) {
  const root = useRef<HTMLDivElement | null>(null)
  useEffect(() => {
    const { current } = root
    if (current === null) return
    const one = (name: string): HTMLElement | null => current.querySelector(`[data-level="${name}"]`)
    const write = (name: string, text: string): void => {
      const element = one(name)
      if (element !== null && element.textContent !== text) element.textContent = text
    }
    const timer = setInterval(() => {
      const level = newestLevel()
      if (level === null) return
      const { rmsDb, peakDb, floorDb, overloaded, lostSamples } = level
      current.style.setProperty('--rms', percent(rmsDb))
      current.style.setProperty('--peak', percent(peakDb))
      current.style.setProperty('--floor', percent(floorDb))
      write('floor', `floor ${whole(floorDb)}`)
      write('rms', `RMS ${whole(rmsDb)}`)
      write('peak', `peak ${whole(peakDb)}, held`)
      write('overload', overloaded ? 'overload' : 'no overload')
      write('lost', lostSamples === 0 ? 'nothing lost' : `${lostSamples} samples lost`)
    }, writeMs)
    return () => clearInterval(timer)
  }, [])
  return (
    <div className="input-level" ref={root}>
      <div className="input-level-track" aria-hidden="true">
        <span className="input-level-rms" />
        <span className="input-level-floor" />
        <span className="input-level-peak" />
      </div>
      <div className="input-level-scale notes" aria-hidden="true">
        {ticks.map((db) => (
          <span key={db} style={{ left: percent(db) }}>
            {whole(db)}
          </span>
        ))}
      </div>
      <p className="input-level-words">
        <strong>Level</strong>
        <span data-level="floor" />
        <span data-level="rms" />
        <span data-level="peak" />
        <button type="button" className="input-level-reset" data-level="overload" onClick={onReset} title="Reset" />
        <span data-level="lost" />
      </p>
    </div>
  )
}
