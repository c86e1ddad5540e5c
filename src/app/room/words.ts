/** What the Room page says, apart from what the core says: the guide's questions, the input, why a part is asked for again. */
import type { Foreign } from '../../core/room/aimedwatch.ts'
import type { Broken, Guide, GuidedPart, Standing } from '../../core/room/guide.ts'
import type { RoomString } from '../../core/room/roomstring.ts'
import type { LineFamily, SteadyLine } from '../../core/room/steadylines.ts'
import { noiseTakeS, pluckTakeS } from '../../core/room/takekeeper.ts'
import type { AppliedSettings } from '../../host/devices.ts'

export interface Asking {
  readonly title: string
  readonly note: string
  /** The main button; null: the page waits for sound. */
  readonly action: string | null
}

const brokenWords: Readonly<Record<Broken, string>> = {
  lost: 'Sound was lost on the way: this part is broken and was not kept.',
  overload: 'The input overloaded: turn it down. This part was not kept.',
  silent: 'Nothing but silence came in: look at the cable, the volume and the channel. This part was not kept.',
  'not-heard': 'No string was heard in the last pluck.',
  'other-string': 'Another string sounded in the last pluck.',
}

export function asking(guide: Guide, titleOf: (id: string | null) => string): Asking {
  switch (guide.step) {
    case 'reminder':
      return {
        title: 'First: is the house muted?',
        note: 'This page cannot know whether the house is muted. Ask, or look at the desk, before anything is plugged in or plucked.',
        action: 'I have seen to it',
      }
    case 'input':
      return {
        title: 'Open the input',
        note: 'Nothing that is heard leaves this machine.',
        action: 'Open the input',
      }
    case 'damp': {
      const before = guide.noise === 'to-do' || guide.noise === 'kept' ? '' : `${brokenWords[guide.noise]} `
      return {
        title: 'Damp all strings with one hand',
        note: `${before}The room alone is taken for ${noiseTakeS} s. Hold the instrument as it will be held.`,
        action: `Take the noise, ${noiseTakeS} s`,
      }
    }
    case 'noise':
      return { title: 'Keep the strings damped', note: `The room is heard for ${noiseTakeS} s.`, action: null }
    case 'pluck': {
      const part = guide.strings.find(({ id }) => id === guide.asked)
      return {
        title: `Pluck ${titleOf(guide.asked)}`,
        note: `${againWords(part, titleOf)}Once, and let it ring for ${pluckTakeS} s. It is noticed by itself.`,
        action: 'It was plucked',
      }
    }
    case 'keep':
      return { title: `Let ${titleOf(guide.asked)} ring`, note: `${pluckTakeS} s are kept.`, action: null }
    case 'done':
      return doneWords(guide)
  }
}

function againWords(part: GuidedPart | undefined, titleOf: (id: string | null) => string): string {
  if (part === undefined || ['to-do', 'kept', 'skipped'].includes(part.standing)) return ''
  const what =
    part.standing === 'other-string' && part.other !== null
      ? `The last pluck sounded like ${titleOf(part.other)}.`
      : brokenWords[part.standing as Broken]
  return `${what} Again: `
}

function doneWords({ strings }: Guide): Asking {
  const kept = strings.filter(({ standing }) => standing === 'kept').length
  return {
    title: kept === strings.length ? `All ${kept} strings are kept` : `${kept} of ${strings.length} strings are kept`,
    note: 'Touch a string below to hear it live or to take it again.',
    action: null,
  }
}

/** Under a string's name. */
export const standingWords: Readonly<Record<Standing, string>> = {
  'to-do': 'to do',
  kept: 'kept',
  skipped: 'skipped',
  lost: 'again',
  overload: 'again',
  silent: 'again',
  'not-heard': 'not heard',
  'other-string': 'other string',
}

/** "processing off", "the browser does not say whether it changes the sound". */
export function processingWords(applied: AppliedSettings | null): string {
  if (applied === null) return 'no device, nothing processed'
  const { echo, noise, gain } = applied
  const named = [
    ['echo removal', echo],
    ['noise removal', noise],
    ['automatic gain', gain],
  ] as const
  const on = named.filter(([, state]) => state === 'on').map(([name]) => name)
  if (on.length > 0) return `${on.join(' and ')} on: results are tagged as processed`
  const unknown = named.filter(([, state]) => state === 'unknown').map(([name]) => name)
  return unknown.length > 0 ? `unknown whether ${unknown.join(' and ')} is on` : 'processing off, says the browser'
}

export function familyWords(family: LineFamily): string {
  if (family.kind === 'mains') return `${family.nominalHz} Hz mains, harmonic ${family.harmonic}`
  if (family.kind === 'series') return `harmonic ${family.harmonic} of ${family.baseHz.toFixed(1)} Hz`
  return 'alone'
}

/** "12 c above partial 3 of D3". */
export function nearWords({ nearest }: SteadyLine, strings: readonly RoomString[]): string {
  if (nearest === null) return 'no string'
  const title = strings.find(({ id }) => id === nearest.string)?.title ?? nearest.string
  const whole = Math.round(Math.abs(nearest.cents))
  const place = whole === 0 ? 'on' : `${whole} c ${nearest.cents > 0 ? 'above' : 'below'}`
  return `${place} partial ${nearest.k} of ${title}`
}

/** "12.3", "−4.0", "—". */
export function number(value: number | null, places = 1): string {
  if (value === null || !Number.isFinite(value)) return '—'
  const text = value.toFixed(places)
  // What rounds to nothing has no sign.
  return Number(text) === 0 ? text.replace('-', '') : text.replace('-', '−')
}

/** "12.3 (11.1 to 13.5)"; without an interval the value alone. */
export function withRange(value: number | null, low: number, high: number, places = 1): string {
  if (!Number.isFinite(low) || !Number.isFinite(high)) return number(value, places)
  return `${number(value, places)} (${number(low, places)} to ${number(high, places)})`
}

/** What sounds in place of the string that the live methods are aimed at; '': not known. */
export function foreignWords(foreign: Foreign | null, strings: readonly RoomString[]): string {
  if (foreign === null) return ''
  if (foreign.kind === 'octave-above') return 'This sounds like its octave above: do not tune by it.'
  const title = strings.find(({ id }) => id === foreign.string)?.title
  return `${title ?? 'Another string'} sounds, not this one: do not tune by it.`
}
