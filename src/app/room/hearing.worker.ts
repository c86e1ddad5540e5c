/** Body of the worker that hears the Room page's input: parts to be kept, the string that is looked for, the one that is aimed at. */
import { AimedWatch } from '../../core/room/aimedwatch.ts'
import { StringFinder } from '../../core/room/stringfinder.ts'
import { TakeKeeper } from '../../core/room/takekeeper.ts'
import type { FromHearing, ToHearing } from './hearingmessages.ts'
import { type EarsScope, type HeardTap, hearTap, obeyWith } from './tapears.ts'

type Aim = NonNullable<Extract<ToHearing, { kind: 'aim' }>['aim']>

const scope = globalThis as unknown as EarsScope<ToHearing, FromHearing>

let keeper: TakeKeeper | null = null
let finder: StringFinder | null = null
let watch: AimedWatch | null = null
let rateHz = 0
let found: string | null = null

const tellFound = (id: string | null): void => {
  if (id === found) return
  found = id
  scope.postMessage({ kind: 'found', id })
}

function begin(heard: HeardTap): void {
  rateHz = heard.sampleRateHz
  const own = new TakeKeeper(rateHz, {
    onOnset: (ticket) => scope.postMessage({ kind: 'onset', ticket }),
    onKept: (ticket, part) => scope.postMessage({ kind: 'kept', ticket, part }, [part.samples.buffer]),
  })
  keeper = own
  const push = (samples: Float32Array, lostSamples: number): void => {
    own.push(samples, lostSamples)
    finder?.push(samples, ({ id }) => tellFound(id))
    watch?.push(samples)
  }
  hearTap(heard, { meter: own.meter, push }, (message) => scope.postMessage(message))
}

function watchOf({ string, strings, room }: Aim): AimedWatch {
  const { id } = string
  return new AimedWatch(rateHz, string, strings, room, {
    onPluck: () => scope.postMessage({ kind: 'plucked', string: id }),
    onForeign: (foreign) => scope.postMessage({ kind: 'foreign', string: id, foreign }),
  })
}

obeyWith(scope, (message) => {
  switch (message.kind) {
    case 'open':
      begin(message)
      break
    case 'ask':
      keeper?.ask(message.ticket, message.wish)
      break
    case 'now':
      keeper?.keepNow()
      break
    case 'find':
      finder = message.find === null ? null : new StringFinder(rateHz, message.find.strings, message.find.room)
      tellFound(null)
      break
    case 'aim':
      watch = message.aim === null ? null : watchOf(message.aim)
      break
    case 'reset-meter':
      keeper?.meter.reset()
  }
})
