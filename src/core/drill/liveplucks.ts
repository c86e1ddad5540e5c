/**
 * Strings that sound while they are turned: a bank of damped partials whose frequencies follow the commanded pitch.
 *
 * Partials are those of scene/components.ts, one rotating number each: its phase is carried on whatever its frequency does, so a turn
 * makes neither click nor jump. The pitch follows a command with a time constant of `followS` and ends on it exactly; the
 * pluck's own glide lies on top. Frequencies are set anew every `tickSamples` samples of the stream, and commands are obeyed at
 * their sample, so every cut into blocks gives the same samples. A new pluck mutes what rings. The room is a loop of samples.
 * Portable functions only: Node and Chromium give the same bits. Left out: partials turn on their ratio to the first one (the
 * stiffness hardly moves within 150 c), the other strings do not ring along, no body and no sensor.
 */
import { exp, ln, pow } from '../maths/portable.ts'
import { randomStream } from '../maths/random.ts'
import { addAttack } from '../scene/attack.ts'
import { type Component, components } from '../scene/components.ts'
import { kneeS } from '../scene/oscillators.ts'
import type { SyntheticPluck } from '../scene/scene.ts'
import { Voices } from './voices.ts'

/** 1.3 ms at 48 kHz: the steps of a glide of 3 c over 0.15 s stay under 0.03 c. */
const tickSamples = 64
/** As fast as a hand: slower would be heard as a slide, faster as a step (own choice). */
const followS = 0.01
/** Nearer than this it is there: a thousandth of what anybody hears. */
const thereCents = 1e-3
/** A hand laid on a string: 60 dB in this time (assumption). */
const muteS = 0.04
/** Less of a glide is none. */
const settledCents = 1e-4
/** A room that is made louder or softer follows with this step a sample: full in 20 ms. */
const gainStepS = 0.02

export interface LiveString {
  /** Its pitch is the nominal one that partials are laid out for; onset and scatter follow from `seed`. */
  readonly pluck: SyntheticPluck
  readonly seed: number
}

export interface LiveSetup {
  readonly sampleRateHz: number
  readonly strings: readonly LiveString[]
  /** Looped from the first sample on; empty: silence. */
  readonly room: Float32Array
  readonly roomGain: number
}

/** `atSample`: of the stream, counted from 0; absent or past: at once. Times must not run backwards. */
export type LiveCommand = { readonly atSample?: number } & (
  | { readonly kind: 'pluck'; readonly string: number; readonly f1Hz: number; readonly seed: number }
  | { readonly kind: 'f1'; readonly f1Hz: number }
  | { readonly kind: 'damp' }
  | { readonly kind: 'room'; readonly gain: number }
)

export class LivePlucks {
  readonly #setup: LiveSetup
  readonly #components: readonly (readonly Component[])[]
  readonly #queue: LiveCommand[] = []
  /** Samples given so far. */
  #place = 0
  #ringing: Ringing | null = null
  /** What was muted and has not died yet. */
  #muted: Ringing[] = []
  #room: number
  #roomWanted: number
  readonly #roomStep: number
  #sum = new Float64Array(tickSamples)

  /** @throws Problem for a string that the rate cannot carry. */
  constructor(setup: LiveSetup) {
    this.#setup = setup
    this.#components = setup.strings.map(({ pluck, seed }) => components(pluck, setup.sampleRateHz, { seed, index: 0 }))
    this.#room = setup.roomGain
    this.#roomWanted = setup.roomGain
    this.#roomStep = 1 / (gainStepS * setup.sampleRateHz)
  }

  get place(): number {
    return this.#place
  }

  obey(command: LiveCommand): void {
    this.#queue.push(command)
  }

  /** The next samples, held within -1..1. */
  fill(out: Float32Array): void {
    let at = 0
    while (at < out.length) {
      while (this.#queue.length > 0 && (this.#queue[0].atSample ?? 0) <= this.#place) this.#do(this.#queue.shift())
      const next = this.#queue[0]?.atSample ?? Number.POSITIVE_INFINITY
      const tick = tickSamples - (this.#place % tickSamples)
      const length = Math.min(out.length - at, tick, next - this.#place)
      this.#span(out, at, length)
      at += length
      this.#place += length
    }
  }

  #do(command: LiveCommand | undefined): void {
    if (command === undefined) return
    const { sampleRateHz, strings } = this.#setup
    switch (command.kind) {
      case 'pluck':
        this.#mute()
        this.#ringing = new Ringing(
          this.#components[command.string],
          strings[command.string].pluck,
          sampleRateHz,
          command.f1Hz,
          command.seed,
        )
        return
      case 'f1':
        this.#ringing?.turnTo(command.f1Hz)
        return
      case 'damp':
        this.#mute()
        return
      case 'room':
        this.#roomWanted = command.gain
        return
    }
  }

  #mute(): void {
    if (this.#ringing === null) return
    this.#ringing.mute()
    this.#muted.push(this.#ringing)
    this.#ringing = null
  }

  #span(out: Float32Array, at: number, length: number): void {
    const sum = this.#sum.fill(0, 0, length)
    const onTick = this.#place % tickSamples === 0
    if (this.#muted.length > 0) {
      for (const ringing of this.#muted) ringing.add(sum, length, onTick)
      this.#muted = this.#muted.filter((ringing) => !ringing.isOver)
    }
    this.#ringing?.add(sum, length, onTick)
    const { room } = this.#setup
    for (let i = 0; i < length; i++) {
      let value = sum[i]
      if (room.length > 0) {
        this.#room = towards(this.#room, this.#roomWanted, this.#roomStep)
        value += this.#room * room[(this.#place + i) % room.length]
      }
      out[at + i] = Math.min(1, Math.max(-1, value))
    }
  }
}

const towards = (from: number, to: number, step: number): number =>
  from < to ? Math.min(to, from + step) : Math.max(to, from - step)

/** One pluck from its first sample to its death. */
class Ringing {
  readonly #voices: Voices
  readonly #sampleRateHz: number
  readonly #nominalHz: number
  readonly #glide: { cents: number; readonly factor: number }
  readonly #attack: Float64Array
  readonly #follow: number
  /** Cents over the nominal pitch: as it is, and as it is wanted. */
  #cents: number
  #wantedCents: number
  #age = 0
  #mutedFor = -1

  constructor(all: readonly Component[], pluck: SyntheticPluck, sampleRateHz: number, f1Hz: number, seed: number) {
    this.#sampleRateHz = sampleRateHz
    this.#nominalHz = pluck.firstPartialHz
    this.#wantedCents = this.#centsOf(f1Hz)
    this.#cents = this.#wantedCents
    this.#follow = exp(-tickSamples / (followS * sampleRateHz))
    this.#glide = { cents: pluck.glideCents, factor: exp(-tickSamples / (pluck.glideS * sampleRateHz)) }
    this.#attack = new Float64Array(Math.round((pluck.attackMs / 1000) * sampleRateHz))
    addAttack(this.#attack, { ...pluck, onsetS: 0 }, sampleRateHz, randomStream(seed, 'attack'))
    this.#voices = new Voices(
      all.map(({ voice }) => voice),
      sampleRateHz,
    )
    this.#retune()
  }

  get isOver(): boolean {
    return this.#mutedFor > muteS * this.#sampleRateHz * 2
  }

  turnTo(f1Hz: number): void {
    this.#wantedCents = this.#centsOf(f1Hz)
  }

  mute(): void {
    if (this.#mutedFor >= 0) return
    this.#mutedFor = 0
    this.#voices.dampen(exp(-ln(1000) / (muteS * this.#sampleRateHz)))
  }

  add(sum: Float64Array, length: number, onTick: boolean): void {
    if (onTick && this.#age > 0) this.#tick()
    this.#voices.add(sum, length)
    if (this.#mutedFor < 0) {
      const to = Math.min(length, this.#attack.length - this.#age)
      for (let i = 0; i < to; i++) sum[i] += this.#attack[this.#age + i]
    } else {
      this.#mutedFor += length
    }
    this.#age += length
  }

  #tick(): void {
    const off = this.#wantedCents - this.#cents
    const moves = off !== 0 || this.#glide.cents !== 0
    if (Math.abs(off) < thereCents) this.#cents = this.#wantedCents
    else this.#cents = this.#wantedCents - off * this.#follow
    this.#glide.cents *= this.#glide.factor
    if (Math.abs(this.#glide.cents) < settledCents) this.#glide.cents = 0
    if (moves) this.#retune()
    if (this.#age >= kneeS * this.#sampleRateHz) this.#voices.pastKnee()
    this.#voices.dropSilent()
  }

  #retune(): void {
    this.#voices.tune(pow(2, (this.#cents + this.#glide.cents) / 1200))
  }

  #centsOf(f1Hz: number): number {
    return (1200 * ln(f1Hz / this.#nominalHz)) / ln(2)
  }
}
