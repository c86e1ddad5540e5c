/**
 * A plan's chain of stages as one method: who hears a single pluck, stage by stage, and what is read meanwhile.
 *
 * A stage is shown until it claims (score/claim.ts, the study's settings). If the claim lies inside the stage's let-go there is
 * nothing left for it to do: the reading that would have completed the hold is declined, the next stage is switched on at that
 * moment and hears only what follows, and nothing is shown until it answers. If the claim lies outside, the person would turn
 * now: the claim stands as the chain's, and the stage stays to the end of the pluck. So a string that is far off is claimed by the
 * rough stage, one that is nearly in tune by the last stage, later by as long as both listened; what a rough stage gets wrong
 * by more than its let-go is the chain's false claim. A blind chain has no note: the let-go counts from the nearest note of A4 =
 * 440 Hz, as a display's window does. Left out: the turn itself, and how long a person takes to change over.
 */
import { median } from '../maths/statistics.ts'
import { centsBetween, hzFromMidi, midiFromHz } from '../maths/units.ts'
import type { Listener, Method, Reading, Stream } from '../methods/method.ts'
import { firstHold } from '../score/claim.ts'
import type { ClaimSettings } from '../score/score.ts'

export interface HandingStage {
  /** With all its settings as its defaults. */
  readonly method: Method
  /** A claim within this of the note hands over to the next stage, cents. */
  readonly letGoCents: number
}

/**
 * `last` after the stages before it; its fields are the chain's. Aimed when any stage is.
 */
export function planAsMethod(before: readonly HandingStage[], last: Method, claim: ClaimSettings): Method {
  const isAimed = [...before.map(({ method }) => method), last].some(({ family }) => family === 'aimed')
  return {
    id: `${last.id}-chained`,
    title: `${last.title}, after ${before.map(({ method }) => method.title).join(', then ')}`,
    source: last.source,
    family: isAimed ? 'aimed' : 'blind',
    fields: last.fields,
    open: (stream, values) => {
      const streamOf = ({ family }: Method): Stream => ({
        ...stream,
        targetHz: family === 'aimed' ? stream.targetHz : null,
      })
      const stages = [
        ...before.map(({ method, letGoCents }) => ({
          letGoCents,
          open: () => method.open(streamOf(method), defaultsOf(method)),
        })),
        { letGoCents: Number.NaN, open: () => last.open(streamOf(last), values) },
      ]
      // All are opened once, so that what cannot be used is told before anything is heard.
      for (const { open } of stages) open()
      return chained(stages, stream, claim)
    },
  }
}

const defaultsOf = ({ fields }: Method): Record<string, number> =>
  Object.fromEntries(Object.entries(fields).map(([name, field]) => [name, field.default]))

interface OpenStage {
  readonly letGoCents: number
  open(): Listener
}

/** Stages hear so many samples at a time and change over between two such pieces: every cut of the stream comes to the same. */
const pieceSamples = 64

function chained(stages: readonly OpenStage[], { sampleRateHz, targetHz }: Stream, claim: ClaimSettings): Listener {
  let place = 0
  let listener = stages[0].open()
  /** Where the stage was switched on. */
  let startSample = 0
  let heard = 0
  let claimed = false
  /** The stage's newest readings, on its own clock: a hold looks no further back. */
  let recent: Reading[] = []
  let changesOver = false
  const piece = new Float32Array(pieceSamples)
  let filled = 0
  const shown: Reading = { fromSample: 0, toSample: 0, atSample: 0, f0Hz: 0, confidence: 0, spreadCents: 0 }

  const isInside = (hz: number): boolean => {
    const noteHz = targetHz ?? hzFromMidi(Math.round(midiFromHz(hz)))
    return Math.abs(centsBetween(hz, noteHz)) <= stages[place].letGoCents
  }

  /** Whether this reading completes a hold that hands over. */
  const handsOver = (reading: Readonly<Reading>): boolean => {
    if (claimed || place === stages.length - 1) return false
    recent.push({ ...reading })
    const hold = firstHold(recent, sampleRateHz, claim)
    if (hold === null) {
      const oldest = reading.toSample - 2 * claim.holdS * sampleRateHz
      if (recent[0].toSample < oldest) recent = recent.filter(({ toSample }) => toSample >= oldest)
      return false
    }
    claimed = true
    return isInside(median(recent.slice(hold.first, hold.last + 1).map(({ f0Hz }) => f0Hz)))
  }

  return {
    push(samples, emit) {
      const pass = (reading: Readonly<Reading>): void => {
        // What a stage says after it has handed over within the same piece is not looked at any more.
        if (changesOver) return
        changesOver = handsOver(reading)
        shown.fromSample = startSample + reading.fromSample
        shown.toSample = startSample + reading.toSample
        shown.atSample = startSample + reading.atSample
        shown.f0Hz = changesOver ? Number.NaN : reading.f0Hz
        shown.confidence = changesOver ? 0 : reading.confidence
        shown.spreadCents = changesOver ? Number.NaN : reading.spreadCents
        emit(shown)
      }
      for (let i = 0; i < samples.length; i++) {
        piece[filled++] = samples[i]
        if (filled < pieceSamples) continue
        filled = 0
        heard += pieceSamples
        listener.push(piece, pass)
        if (!changesOver) continue
        changesOver = false
        claimed = false
        recent = []
        startSample = heard
        place++
        listener = stages[place].open()
      }
    },
  }
}
