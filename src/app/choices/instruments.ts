/** Instruments whose strings a study may pluck: those of the Instruments page, the demo's until somebody changes them. */
import { useEffect, useMemo } from 'react'
import type { Instrument } from '../../core/instruments/instrument.ts'
import { instrumentStrings } from '../../core/study/instrumentstrings.ts'
import type { StudyString } from '../../core/study/study.ts'
import { startKeeping } from '../instruments/keeping.ts'
import { isDemo } from '../instruments/shelf.ts'
import { shelfOf, useInstruments } from '../instruments/store.ts'

export interface Offered {
  readonly instrument: Instrument
  /** Of the invented demo, even if it was changed since. */
  readonly invented: boolean
  readonly strings: readonly StudyString[]
}

/** Those without figures (a gauge set that is gone) are left out: the Instruments page says what is wrong with them. */
export function useOffered(): readonly Offered[] {
  const shelf = useInstruments(shelfOf)
  useEffect(() => void startKeeping(), [])
  return useMemo(
    () =>
      shelf.flatMap((instrument): Offered[] => {
        try {
          return [{ instrument, invented: isDemo(instrument), strings: instrumentStrings(instrument) }]
        } catch {
          return []
        }
      }),
    [shelf],
  )
}
