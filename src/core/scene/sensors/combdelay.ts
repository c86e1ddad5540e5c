/**
 * What a pickup at one point of a string hears: the wave and its reflection from the bridge, x(t) - x(t - delay).
 *
 * At p of the length from the bridge the delay is p / f0, so that partial k is weighted by 2 |sin(pi k p)| (Fletcher & Rossing,
 * Physics of Musical Instruments, section 9.8; a stiff string's partials lie a little off the comb). Parts of a sample by a
 * Kaiser-windowed sinc: the delay is right within 0.001 of the amplitude up to 0.4 of the rate.
 */
import { sin } from '../../maths/portable.ts'
import { kaiser } from '../../maths/windows.ts'

/** Half the length of the kernel. */
const half = 24
/** Stop-band of 60 dB (Kaiser's formula: 0.1102 (60 - 8.7)). */
const beta = 5.65

/** In place. */
export function runCombDelay(samples: Float64Array, delaySamples: number): void {
  const whole = Math.floor(delaySamples)
  const part = delaySamples - whole
  const taps = new Float64Array(2 * half + 1)
  const window = kaiser(taps.length, beta)
  let sum = 0
  for (let j = 0; j < taps.length; j++) {
    const x = Math.PI * (j - half - part)
    taps[j] = window[j] * (x === 0 ? 1 : sin(x) / x)
    sum += taps[j]
  }
  // Exactly 1 at 0 Hz: the comb's first notch is complete.
  for (let j = 0; j < taps.length; j++) taps[j] /= sum
  const straight = samples.slice()
  for (let i = 0; i < samples.length; i++) {
    // Tap j stands for sample i - whole - (j - half).
    const newest = i - whole + half
    const from = Math.max(0, newest - straight.length + 1)
    const to = Math.min(taps.length, newest + 1)
    let late = 0
    for (let j = from; j < to; j++) late += taps[j] * straight[newest - j]
    samples[i] -= late
  }
}
