/** The hand that was measured last in this browser, for plans to take over; null: none. */
import { create } from 'zustand'
import type { MeasuredHand } from './choices.ts'

export const useMeasuredHand = create<{ readonly measured: MeasuredHand | null }>(() => ({ measured: null }))
