/** Body of the worker that hears a hand: its plucks and turns. */
import { TurnWatch } from '../../core/plan/turnwatch.ts'
import { LevelMeter } from '../../core/room/levelmeter.ts'
import { type EarsScope, hearTap, obeyWith } from '../room/tapears.ts'
import type { FromHand, ToHand } from './handmessages.ts'

const scope = globalThis as unknown as EarsScope<ToHand, FromHand>

let meter: LevelMeter | null = null
let watch: TurnWatch | null = null
let rateHz = 0
let ticket = -1

function watchNote(noteHz: number): void {
  ticket++
  const mine = ticket
  watch = new TurnWatch(rateHz, noteHz, (told) => scope.postMessage({ kind: 'told', ticket: mine, told }))
}

function begin(heard: Extract<ToHand, { kind: 'open' }>): void {
  rateHz = heard.sampleRateHz
  const own = new LevelMeter(rateHz)
  meter = own
  watchNote(heard.noteHz)
  const push = (samples: Float32Array, lostSamples: number): void => {
    watch?.push(samples, lostSamples)
    for (const sample of samples) own.push(Number.isFinite(sample) ? sample : 0)
  }
  hearTap(heard, { meter: own, push }, (message) => scope.postMessage(message))
}

obeyWith(scope, (message) => {
  switch (message.kind) {
    case 'open':
      begin(message)
      break
    case 'note':
      watchNote(message.noteHz)
      break
    case 'reset-meter':
      meter?.reset()
  }
})
