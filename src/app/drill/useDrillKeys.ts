/** Keys of the Drill: space plucks, 1 to 9 pluck a string, F switches the method, Enter lets go, E ends or takes the next instrument. */
import { useEffect } from 'react'
import { goOn, letGo, pluck, switchMethod } from './attempt.ts'

export function useDrillKeys(strings: number, active: boolean): void {
  useEffect(() => {
    if (!active) return
    const hear = (event: globalThis.KeyboardEvent): void => {
      const { target, key } = event
      if (event.ctrlKey || event.metaKey || event.altKey || event.repeat) return
      if (target instanceof HTMLElement) {
        if (target.closest('input, textarea, select, [role="dialog"]') !== null) return
        // A button in focus is pressed by these itself.
        if ((key === ' ' || key === 'Enter') && target.closest('button, a, summary') !== null) return
      }
      const number = Number(key)
      if (key === ' ') pluck()
      else if (key === 'Enter') letGo()
      else if (key === 'f' || key === 'F') switchMethod()
      else if (key === 'e' || key === 'E') goOn()
      else if (Number.isInteger(number) && number >= 1 && number <= strings) pluck(number - 1)
      else return
      event.preventDefault()
    }
    window.addEventListener('keydown', hear)
    return () => window.removeEventListener('keydown', hear)
  }, [strings, active])
}
