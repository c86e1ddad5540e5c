/**
 * The package pitchy (McLeod pitch method over fft.js, in float32) as a user gets it: one window in, pitch and clarity out.
 *
 * It searches every lag up to the window's length whatever range is wanted, so an answer outside the stream's range is
 * shown as declined. It has no voicing decision either: its clarity is passed on as the confidence, and noise gets an
 * answer of low clarity. Its list of peaks is built anew on every call, so it allocates. It cannot hear less than about
 * two periods in a window; a steady offset hides the sound from it.
 */
import { PitchDetector } from 'pitchy'
import { frameFields, framewise, lowPassFields } from './framewise.ts'
import { method } from './method.ts'

const fields = {
  ...frameFields,
  clarityThreshold: {
    default: 0.9,
    min: 0.01,
    max: 1,
    unit: 'ratio',
    help: 'The first peak at least this part of the highest is taken; 0.9 is the package’s default.',
  },
  ...lowPassFields,
} as const

export const pitchy = method({
  id: 'pitchy',
  title: 'pitchy (outside package)',
  source: 'npm package pitchy 4; after McLeod & Wyvill 2005',
  family: 'blind',
  fields,
  open(stream, values) {
    const detector = PitchDetector.forFloat32Array(values.window)
    detector.clarityThreshold = values.clarityThreshold
    return framewise(stream, values, (frame, estimate) => {
      const [f0Hz, clarity] = detector.findPitch(frame, stream.sampleRateHz)
      if (!(f0Hz >= stream.lowestHz && f0Hz <= stream.highestHz)) return
      estimate.f0Hz = f0Hz
      estimate.confidence = Math.max(0, clarity)
    })
  },
})
