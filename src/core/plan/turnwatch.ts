/**
 * One string between plucks, heard sample by sample: where each pluck stands, and when the hand began and ended its turn.
 *
 * A pluck is an onset (methods/onset.ts) after which the sound is twice as strong; it stands where the median of partial-fit's
 * readings over a fixed stretch of it lies, the same stretch of every pluck, so that the pluck's own glide leaves a difference of
 * two plucks alone. From then on the readings are watched: the turn begins where they leave the settled pitch upwards, and ends where they
 * come to what the last ones say, both carried on at one speed from where that is sure. They are good to half a window, 0.04 s. What
 * cannot be told is NaN: a turn smaller than the readings' own scatter, a string muted before it came to rest, a hand that did
 * not wait for the reading. Times are those of the stream; a page shows a settled reading up to a tenth of a second later.
 */
import { fill } from '../fields.ts'
import { median, rms } from '../maths/statistics.ts'
import { centsBetween, hzFromCents } from '../maths/units.ts'
import type { Listener } from '../methods/method.ts'
import { OnsetFinder } from '../methods/onset.ts'
import { partialFit } from '../methods/partial-fit.ts'

export type WatchTold =
  | { readonly kind: 'onset' }
  | ({ readonly kind: 'settled' } & SettledPluck)
  /** `moving`: it did not stand still while it was read. `lost`: sound was lost on the way. */
  | { readonly kind: 'unsettled'; readonly why: 'moving' | 'not-heard' | 'lost' }

export interface SettledPluck {
  /** From the note. */
  readonly cents: number
  /** Standard deviation of the readings about it. */
  readonly spreadCents: number
  /** Of the turn before this pluck, if the pluck before settled; NaN: not seen. */
  readonly reactionS: number
  readonly turnS: number
}

/**
 * Strings are measured while they are let down, by up to `lowestCents`: partial-fit searches 150 c to either side of its aim, which
 * lies in the middle of that.
 */
export const lowestCents = -140
const aimCents = lowestCents / 2

/** 4096 samples at 48 kHz, as the method's own default; a hop of a hundredth of a second follows a turning hand. */
const windowS = 0.085
const hopS = 0.01

/** A pluck's glide is over within 0.15 s or so (assumption: the usual values of a plucked string), and a window lies clear of it. */
const readFromS = 0.25
const readToS = 0.6
/** Fewer readings than this share: not heard. */
const leastShare = 0.6
/** Readings that scatter more tell a turn of a few cents from none no more. */
const mostSpreadCents = 3

/** Sound before and after an onset, clear of the pick's click of some 25 ms (assumption). */
const beforeS = { from: -0.11, to: -0.01 } as const
const afterS = { from: 0.03, to: 0.13 } as const
/** 3 dB: an onset after which the sound is no stronger is a knock, or the peg. */
const leastRise = 2
const frameS = 0.01
/** A string that rings longer than this is read no more. */
const framesKept = 1000
/** As long as frames, which tell when the string was muted: a turn that began before is not timed. */
const readingsKept = Math.round((framesKept * frameS) / hopS)
/** A hand laid on it: no string fades by 15 dB in a tenth of a second of its own. */
const muteFall = 30
const muteS = { from: -0.13, to: -0.1, length: 0.03 } as const
/** A pick that touches twice is one pluck. */
const apartS = 0.3

/** A turn is seen once the pitch leaves by this, or by four standard deviations of what it was read with. */
const leastMoveCents = 1
const sigmas = 4
/** A turn is timed if a third of it at least lies between its ends' margins. */
const leastMoves = 3
/** In a row: one reading astray is no turn. */
const inRow = 4
/** The last readings say where the turn ended. */
const restS = 0.1

interface Point {
  readonly atS: number
  readonly toS: number
  readonly cents: number
}

interface Settled {
  readonly atS: number
  readonly cents: number
  readonly spreadCents: number
}

export class TurnWatch {
  readonly #rateHz: number
  readonly #noteHz: number
  readonly #tell: (told: WatchTold) => void
  #listener: Listener
  #finder: OnsetFinder
  /** The listener's and the finder's first sample. */
  #origin = 0
  #heard = 0
  #lost = 0
  #points: Point[] = []
  readonly #frames = new Float64Array(framesKept)
  #onsetS = Number.NaN
  /** An onset that is not yet known to be a pluck. */
  #maybeS = Number.NaN
  #settled: Settled | null = null
  #turn = untold

  /** @throws Problem for a rate or note that cannot be heard. */
  constructor(sampleRateHz: number, noteHz: number, tell: (told: WatchTold) => void) {
    this.#rateHz = sampleRateHz
    this.#noteHz = noteHz
    this.#tell = tell
    this.#listener = this.#openListener()
    this.#finder = this.#openFinder()
  }

  /** Blocks of any length. `lostSamples`: all that were lost so far. Never throws for data. */
  push(samples: Float32Array, lostSamples: number): void {
    if (lostSamples > this.#lost) this.#begin(lostSamples)
    const frame = Math.round(frameS * this.#rateHz)
    for (let from = 0; from < samples.length; ) {
      const to = Math.min(samples.length, from + frame - (this.#heard % frame))
      this.#hear(samples.subarray(from, to), Math.floor(this.#heard / frame))
      from = to
    }
  }

  #hear(samples: Float32Array, frame: number): void {
    if (this.#heard % Math.round(frameS * this.#rateHz) === 0) this.#frames[frame % framesKept] = 0
    for (const heard of samples) {
      const sample = Number.isFinite(heard) ? heard : 0
      this.#frames[frame % framesKept] += sample * sample
      if (this.#finder.push(sample)) this.#maybeS = (this.#origin + this.#finder.onsetSample) / this.#rateHz
    }
    this.#listener.push(samples, ({ atSample, toSample, f0Hz }) => {
      this.#points.push({
        atS: (this.#origin + atSample) / this.#rateHz,
        toS: (this.#origin + toSample) / this.#rateHz,
        cents: centsBetween(f0Hz, this.#noteHz),
      })
    })
    // Nothing else clears them while no string is plucked.
    if (this.#points.length > 2 * readingsKept) this.#points.splice(0, this.#points.length - readingsKept)
    this.#heard += samples.length
    const nowS = this.#heard / this.#rateHz
    if (nowS >= this.#maybeS + afterS.to + frameS) this.#judge()
    if (nowS >= this.#onsetS + readToS) this.#settle(nowS)
  }

  /** Is the onset a pluck? */
  #judge(): void {
    const onsetS = this.#maybeS
    this.#maybeS = Number.NaN
    if (this.#powerOf(onsetS, afterS) < leastRise * this.#powerOf(onsetS, beforeS)) return
    if (onsetS < this.#onsetS + apartS) return
    this.#turn =
      this.#settled === null ? untold : turnIn(this.#points, this.#settled, this.#mutedS(this.#settled.atS, onsetS))
    this.#settled = null
    this.#onsetS = onsetS
    this.#points = this.#points.filter(({ atS }) => atS >= onsetS)
    this.#tell({ kind: 'onset' })
  }

  /** When a hand was laid on the string; at the latest `endS`, when it is plucked again. */
  #mutedS(fromS: number, endS: number): number {
    const { from, to, length } = muteS
    for (let atS = fromS; atS < endS; atS += frameS) {
      if (muteFall * this.#powerOf(atS, { from: 0, to: length }) < this.#powerOf(atS, { from, to })) return atS
    }
    return endS
  }

  #powerOf(onsetS: number, { from, to }: { readonly from: number; readonly to: number }): number {
    let sum = 0
    const last = Math.floor((onsetS + to) / frameS)
    for (let at = Math.max(0, Math.floor((onsetS + from) / frameS)); at < last; at++) {
      sum += this.#frames[at % framesKept] ?? 0
    }
    return sum
  }

  #settle(nowS: number): void {
    const onsetS = this.#onsetS
    this.#onsetS = Number.NaN
    const within = this.#points.filter(({ atS, toS }) => atS >= onsetS + readFromS && toS <= onsetS + readToS)
    const read = within.map(({ cents }) => cents).filter((cents) => !Number.isNaN(cents))
    if (read.length < leastShare * within.length || read.length === 0) {
      this.#tell({ kind: 'unsettled', why: 'not-heard' })
      return
    }
    const cents = median(read)
    const spreadCents = rms(read.map((one) => one - cents))
    if (spreadCents > mostSpreadCents) {
      this.#tell({ kind: 'unsettled', why: 'moving' })
      return
    }
    this.#settled = { atS: nowS, cents, spreadCents }
    this.#tell({ kind: 'settled', cents, spreadCents, ...this.#turn })
  }

  /** What was heard before a loss is no neighbour of what comes after. */
  #begin(lostSamples: number): void {
    this.#lost = lostSamples
    this.#origin = this.#heard
    this.#listener = this.#openListener()
    this.#finder = this.#openFinder()
    const inHand = !Number.isNaN(this.#onsetS) || this.#settled !== null
    this.#points = []
    this.#maybeS = Number.NaN
    this.#onsetS = Number.NaN
    this.#settled = null
    this.#turn = untold
    if (inHand) this.#tell({ kind: 'unsettled', why: 'lost' })
  }

  #openListener(): Listener {
    const { window } = partialFit.fields
    const length = Math.round(windowS * this.#rateHz)
    return partialFit.open(
      {
        sampleRateHz: this.#rateHz,
        lowestHz: 20,
        highestHz: 2000,
        targetHz: hzFromCents(aimCents, this.#noteHz),
        room: null,
      },
      fill(partialFit.fields, {
        window: Math.max(window.min, Math.min(window.max, length)),
        hop: Math.round(hopS * this.#rateHz),
      }),
    )
  }

  /** Without a target: a string that is being turned would grow in the channels of the note it comes to. */
  #openFinder = (): OnsetFinder => new OnsetFinder({ sampleRateHz: this.#rateHz, targetHz: null, room: null })
}

const untold = { reactionS: Number.NaN, turnS: Number.NaN }

/** Up from where the string settled, until `endS`, when it is plucked again. */
function turnIn(points: readonly Point[], settled: Settled, endS: number): typeof untold {
  const seen = points.filter(({ atS, toS, cents }) => atS >= settled.atS && toS <= endS && !Number.isNaN(cents))
  const move = Math.max(leastMoveCents, sigmas * settled.spreadCents)
  const left = seen.map(({ cents }) => cents > settled.cents + move)
  const start = left.findIndex((_, i) => i + inRow <= left.length && left.slice(i, i + inRow).every(Boolean))
  const began = seen[start]
  if (began === undefined || start === 0) return untold
  const restFromS = (seen.at(-1)?.atS ?? 0) - restS
  const rest = seen.filter(({ atS }) => atS >= restFromS).map(({ cents }) => cents)
  const restCents = median(rest)
  const moved = restCents - settled.cents
  const near = (cents: number): boolean => Math.abs(cents - restCents) <= move
  let end = seen.length - 1
  while (end > start && near(seen[end - 1]?.cents ?? Number.NaN)) end--
  const ended = seen[end]
  const rested = rest.every(near) && ended !== undefined && ended.atS <= restFromS && moved >= leastMoves * move
  if (!rested) return { reactionS: began.atS - settled.atS, turnS: Number.NaN }
  // What is seen leaves out the first and the last `move` of it; it is taken to go on at one speed.
  const secondsPerCent = (ended.atS - began.atS) / (moved - 2 * move)
  return { reactionS: began.atS - settled.atS - move * secondsPerCent, turnS: moved * secondsPerCent }
}
