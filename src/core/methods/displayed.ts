/**
 * A method behind a display: what a person sees of it, as a method of its own.
 *
 * At every update the answered readings of the averaging time are averaged in the logarithm of frequency (recentreadings.ts).
 * Declined ones carry no value and are left out: the display bridges gaps shorter than its averaging time and shows nothing
 * (declines) once the time holds no answer. A method that answers more seldom than the averaging time keeps its newest
 * reading shown. The level gate declines while the root mean square of the averaging time lies below it (full scale is 1: a
 * sine that just fits reads -3 dB).
 * In-range window: a person reads one state, "in tune", wherever the average lies inside it. So the target itself is shown
 * there (a blind method has none: the nearest note of A4 = 440 Hz), and what is outside stays as it is. That steadies what is
 * seen and moves it by up to the window; the reading then makes no claim about its own spread.
 * Averaging settings of real displays are rarely published: the limits here are own choices around what is usual.
 */
import { type Field, fill, type Values } from '../fields.ts'
import { centsBetween, hzFromMidi, midiFromHz, powerRatioFromDb } from '../maths/units.ts'
import type { Listener, Method, Reading, Stream } from './method.ts'
import { RecentReadings } from './recentreadings.ts'

export const displayFields = {
  averagingMs: {
    default: 200,
    min: 50,
    max: 800,
    unit: 'ms',
    help: 'Readings of this long are averaged into the value shown. Longer is steadier and later.',
  },
  updateHz: {
    default: 15,
    min: 5,
    max: 30,
    unit: 'Hz',
    help: 'How often a value is shown. A hold needs five of them, and none further apart than a third of it.',
  },
  inRangeCents: {
    default: 0,
    min: 0,
    max: 8,
    unit: 'c',
    help: 'Within this of the note the display says "in tune", whatever the rest; 0: no such window.',
  },
  gateDb: {
    default: -120,
    min: -120,
    max: -10,
    unit: 'dB',
    help: 'Below this level, RMS re full scale over the averaging time, nothing is shown; -120: as good as none.',
  },
} as const satisfies Record<string, Field>

export type DisplaySettings = Values<typeof displayFields>

/**
 * `shown` behind a display. Its fields are those of the method and of the display, the latter with `settings` as their
 * defaults, so that form, command line and checks follow as for any method.
 * @throws Problem when a setting is unknown or outside its limits.
 */
export function displayed(shown: Method, settings: Readonly<Record<string, unknown>> = {}): Method {
  const chosen = fill(displayFields, settings, 'display')
  const own = Object.entries(displayFields).map(([name, field]) => [
    name,
    { ...field, default: chosen[name as keyof DisplaySettings] },
  ])
  return {
    id: `${shown.id}-displayed`,
    title: `${shown.title}, behind a display`,
    source: shown.source,
    family: shown.family,
    fields: { ...shown.fields, ...Object.fromEntries(own) },
    open(stream, values) {
      const inner = Object.fromEntries(Object.keys(shown.fields).map((name) => [name, values[name]]))
      return display(shown.open(stream, inner as Values), stream, values as unknown as DisplaySettings)
    },
  }
}

/**
 * The method hears one update at a time: nothing that a person sees changes in between, and every cut of the stream comes
 * to the same.
 */
function display(listener: Listener, stream: Stream, settings: DisplaySettings): Listener {
  const { sampleRateHz, targetHz } = stream
  const { updateHz, inRangeCents } = settings
  const averagingSamples = Math.round((settings.averagingMs / 1000) * sampleRateHz)
  const gatePower = powerRatioFromDb(settings.gateDb)

  // From one update to the next are so many samples, or one more.
  const fewest = Math.floor(sampleRateHz / updateHz)
  const longer = new Float32Array(fewest + 1)
  const shorter = longer.subarray(0, fewest)
  let filled = 0
  let heard = 0
  let updates = 0
  const untilNext = (): number => Math.round(((updates + 1) * sampleRateHz) / updateHz) - heard
  let wanted = untilNext()

  const latest = new Float32Array(averagingSamples)
  let place = 0
  const isLoudEnough = (): boolean => {
    let sum = 0
    for (let i = 0; i < averagingSamples; i++) sum += latest[i] * latest[i]
    return sum >= gatePower * Math.min(heard, averagingSamples)
  }

  const readings = new RecentReadings()
  const keep = (reading: Readonly<Reading>): void => readings.add(reading)
  const reading: Reading = { fromSample: 0, toSample: 0, atSample: 0, f0Hz: 0, confidence: 0, spreadCents: 0 }

  const answer = (): void => {
    const fromSample = Math.max(0, heard - averagingSamples)
    readings.forgetUpTo(heard - averagingSamples)
    if (!(isLoudEnough() && readings.average(reading))) {
      reading.fromSample = fromSample
      reading.atSample = (fromSample + heard) / 2
      reading.f0Hz = Number.NaN
      reading.confidence = 0
      reading.spreadCents = Number.NaN
    } else if (inRangeCents > 0) {
      const noteHz = targetHz ?? hzFromMidi(Math.round(midiFromHz(reading.f0Hz)))
      if (Math.abs(centsBetween(reading.f0Hz, noteHz)) <= inRangeCents) {
        reading.f0Hz = noteHz
        reading.spreadCents = Number.NaN
      }
    }
    reading.toSample = heard
  }

  return {
    push(samples, emit) {
      for (let i = 0; i < samples.length; i++) {
        const sample = samples[i]
        longer[filled++] = sample
        // x - x is 0 for every finite x and NaN for the rest.
        latest[place] = sample - sample === 0 ? sample : 0
        if (++place === averagingSamples) place = 0
        if (filled < wanted) continue
        listener.push(filled === fewest ? shorter : longer, keep)
        heard += filled
        filled = 0
        answer()
        emit(reading)
        updates++
        wanted = untilNext()
      }
    },
  }
}
