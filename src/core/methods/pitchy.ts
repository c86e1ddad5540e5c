/**
 * The package pitchy (McLeod pitch method over fft.js) as a user gets it: one window in, pitch and clarity out.
 *
 * It searches every lag up to the window's length whatever range is wanted, so an answer outside the stream's range is
 * shown as declined. It has no voicing decision either: its clarity is passed on as the confidence, and noise gets an
 * answer of low clarity. Its list of peaks is built anew on every call, so it allocates. It cannot hear less than about
 * two periods in a window; a steady offset hides the sound from it. Of the kinds of buffer that it offers it gets plain arrays
 * (its `forNumberArray`), as fft.js does from us: Float32Arrays in the same thread make every own method half as slow again.
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

/** Held as doubles from the start: half is no whole number. */
const doubles = (length: number): number[] => new Array<number>(length).fill(0.5)

export const pitchy = method({
  id: 'pitchy',
  title: 'pitchy (outside package)',
  source: 'npm package pitchy 4; after McLeod & Wyvill 2005',
  family: 'blind',
  fields,
  open(stream, values) {
    const detector = new PitchDetector(values.window, doubles)
    detector.clarityThreshold = values.clarityThreshold
    return framewise(stream, values, (frame, estimate) => {
      const [f0Hz, clarity] = detector.findPitch(frame, stream.sampleRateHz)
      if (!(f0Hz >= stream.lowestHz && f0Hz <= stream.highestHz)) return
      estimate.f0Hz = f0Hz
      estimate.confidence = Math.max(0, clarity)
    })
  },
})
