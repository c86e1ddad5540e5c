/**
 * Counts how often the low-passed waveform rises through zero.
 *
 * The oldest electronic way, common practice: no source. Crossings are placed between samples by a straight line; the pitch is
 * whole periods over the time from the first rising crossing to the last. Right where the filter leaves one crossing a period:
 * the fundamental must carry the waveform. After a rise the wave must fall below a fifth of its root mean square before
 * the next one counts, so that small ripple is not counted. Declines when the periods between crossings differ by more than a
 * tenth of their mean (root mean square): then it counts something else than periods. A stiff string reads nearly true, for
 * few partials are left.
 */
import type { Field } from '../fields.ts'
import { frameFields, framewise, lowPassFields } from './framewise.ts'
import { method } from './method.ts'

const fields = {
  ...frameFields,
  lowPassHz: { ...lowPassFields.lowPassHz, default: 200 },
} as const satisfies Record<string, Field>

/** Of the root mean square. */
const hysteresis = 0.2
const mostSpread = 0.1

/** Left of a frame's energy once its mean is out: less is rounding. */
const rounding = 1e-13

export const zeroCrossing = method({
  id: 'zero-crossing',
  title: 'Zero crossings',
  source: 'common practice, no source',
  family: 'blind',
  fields,
  open(stream, values) {
    const { window } = values
    return framewise(stream, values, (frame, estimate) => {
      let mean = 0
      let raw = 0
      for (let i = 0; i < window; i++) {
        mean += frame[i]
        raw += frame[i] * frame[i]
      }
      mean /= window
      let energy = 0
      for (let i = 0; i < window; i++) energy += (frame[i] - mean) ** 2
      if (!(energy > rounding * raw)) return
      const low = -hysteresis * Math.sqrt(energy / window)
      let armed = false
      let first = -1
      let last = -1
      let periods = 0
      let squares = 0
      for (let i = 1; i < window; i++) {
        const before = frame[i - 1] - mean
        const now = frame[i] - mean
        if (before < low) armed = true
        if (!(armed && before < 0 && now >= 0)) continue
        armed = false
        const place = i - 1 + before / (before - now)
        if (first < 0) first = place
        else {
          periods++
          squares += (place - last) ** 2
        }
        last = place
      }
      // One period could be anything; two can be compared.
      if (periods < 2) return
      const period = (last - first) / periods
      const spread = Math.sqrt(Math.max(0, squares / periods - period * period)) / period
      const f0Hz = stream.sampleRateHz / period
      if (spread > mostSpread || !(f0Hz >= stream.lowestHz && f0Hz <= stream.highestHz)) return
      estimate.f0Hz = f0Hz
      estimate.confidence = 1 - spread / mostSpread
      estimate.fromOffset = Math.floor(first)
      estimate.toOffset = Math.ceil(last) + 1
      estimate.atOffset = (first + last) / 2
    })
  },
})
