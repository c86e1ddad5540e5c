/**
 * The reason for what a method did, in one sentence: verdict first, then the number, then what lies behind it. No blame.
 * The numbers come from core (study/why.ts).
 */
import type { ClaimSettings } from '../../core/score/score.ts'
import type { Cause, Followed, Tone, Why } from '../../core/study/why.ts'
import { plainNumber, seconds, signedCents } from '../bench/figures.ts'

/** Less is not worth a clause of its own. */
const worthSayingCents = 1
const worthSayingDb = 0.5

/** "7.6 c flat", "0.0 c off". */
export function sharpOrFlat(cents: number): string {
  const size = plainNumber(Math.abs(cents))
  if (Number(size) === 0) return `${size} c off`
  return `${size} c ${cents > 0 ? 'sharp' : 'flat'}`
}

/** "+0.4", "0.00": nothing is called flat that is written as zero. */
export const claimWords = (cents: number): string => signedCents(Math.abs(cents) < 0.005 ? 0 : cents)

export function whySentence(method: string, why: Why, settings: ClaimSettings): string {
  return why.claim === 'none' ? `${method} ${noneWords(why, settings)}` : `${method} ${claimedWords(why, settings)}`
}

function claimedWords(why: Why, { holdS, tolCents }: ClaimSettings): string {
  const { claim, claimCents, lockS, offsetCents, cause } = why
  if (cause.kind === 'wrong-string') {
    return `claimed ${intervalWords(claimCents)}, false: it was told another string than the one plucked.`
  }
  if (cause.kind !== 'held') return `claimed ${intervalWords(claimCents)}.`
  const { followed, spanCents, quietCents } = cause
  if (why.variant === 'no-string') {
    const behind = followed.kind === 'tone' ? toneAlone(followed.tone) : 'the room alone kept its readings together'
    return `claimed ${hertz(followed.hz)} Hz, false: no string sounds here, and ${behind}.`
  }
  if (claim === 'premature') {
    const behind = followed.kind === 'tone' ? toneAlone(followed.tone) : 'the room alone kept its readings together'
    return `claimed ${hertz(followed.hz)} Hz, false, ${seconds(-lockS)} s before the pluck: ${behind}.`
  }
  if (claim === 'true') {
    const quiet = Math.abs(offsetCents) >= worthSayingCents ? ` In quiet it reads ${sharpOrFlat(offsetCents)}.` : ''
    return `claimed ${sharpOrFlat(claimCents)}, true, ${seconds(lockS)} s after the pluck: its readings lay within ${plainNumber(spanCents)} c for ${holdS} s.${quiet}`
  }
  if (claim === 'structural') {
    if (followed.kind === 'partial') {
      return `claimed ${intervalWords(claimCents)}, false even in quiet: it followed ${partialWords(followed)}.`
    }
    const moved = followed.kind === 'tone' && Math.abs(claimCents - quietCents) > tolCents
    const rest = moved ? ` The rest came with ${toneWords(followed.tone).replace(/,$/, '')}.` : ''
    return `claimed ${sharpOrFlat(claimCents)}, false even in quiet: without any noise it claims ${sharpOrFlat(quietCents)}.${rest}`
  }
  const quiet = Number.isNaN(quietCents) ? 'makes no claim' : `claims ${sharpOrFlat(quietCents)}`
  if (followed.kind === 'tone') {
    return `claimed ${intervalWords(claimCents)}, false: ${toneWords(followed.tone)} held its readings.`
  }
  if (followed.kind === 'partial') {
    return `claimed ${intervalWords(claimCents)}, false: it followed ${partialWords(followed)}. In quiet it ${quiet}.`
  }
  return `claimed ${intervalWords(claimCents)}, false: the room moved all readings of the hold one way, and no tone of it stands near. In quiet it ${quiet}.`
}

function noneWords({ cause, heardS, variant }: Why, { spanCents, holdS }: ClaimSettings): string {
  if (variant === 'no-string') return `made no claim in ${seconds(heardS)} s, and no string sounds here.`
  const head = `made no claim in ${seconds(heardS)} s:`
  switch (cause.kind) {
    case 'wrong-string':
      return `made no claim in ${seconds(heardS)} s: it was told another string than the one plucked, and declined ${cause.declined} of ${cause.of} readings.`
    case 'silent':
      return `${head} no reading was heard wholly after the pluck.`
    case 'slow':
      return `${head} too slow to claim, with a reading every ${seconds(cause.everyS)} s where the hold needs one every ${seconds(cause.neededS)} s.`
    case 'ended':
      return `${head} its readings had been within ${spanCents} c for ${seconds(cause.steadyS)} s when the take ended, and the hold is ${holdS} s.`
    case 'elsewhere':
      return `${head} ${cause.count} of ${cause.of} readings lay 50 c or more away${awayWords(cause)}, so no ${holdS} s stayed within ${spanCents} c.`
    case 'declined':
      if (cause.count === cause.of) return `${head} it declined all ${cause.of} readings.`
      return `${head} it declined ${cause.count} of ${cause.of} readings, and never answered for longer than ${seconds(cause.longestS)} s in a row.`
    case 'scattered': {
      const declined = cause.declined === 0 ? '' : ` It declined ${cause.declined} of ${cause.of} readings.`
      return `${head} its readings never stayed within ${spanCents} c for ${holdS} s; the closest stretch spans ${plainNumber(cause.leastCents)} c.${declined}`
    }
    default:
      return `made no claim in ${seconds(heardS)} s.`
  }
}

/** A few words for a row of the table: what the verdict beside them does not say. */
export function whyNote({ claim, cause, variant }: Why): string {
  if (variant === 'no-string') return 'no string sounds'
  if (claim === 'room') return cause.kind === 'wrong-string' ? 'told another string' : 'the room caused it'
  if (claim === 'structural') return 'false in quiet too'
  if (claim === 'premature') return 'before the pluck'
  switch (cause.kind) {
    case 'wrong-string':
      return 'told another string'
    case 'silent':
      return 'no reading after the pluck'
    case 'slow':
      return `a reading every ${seconds(cause.everyS)} s`
    case 'ended':
      return 'take ended first'
    case 'elsewhere':
      return `${cause.count} of ${cause.of} away`
    case 'declined':
      return `declined ${cause.count} of ${cause.of}`
    case 'scattered':
      return `spans ${plainNumber(cause.leastCents)} c`
    default:
      return ''
  }
}

const hertz = (hz: number): string => hz.toFixed(1)

/** "7.6 c flat", or by octaves where it is nearly that. */
function intervalWords(cents: number): string {
  const octaves = Math.round(Math.abs(cents) / 1200)
  if (octaves === 0 || Math.abs(Math.abs(cents) - 1200 * octaves) >= 50) return sharpOrFlat(cents)
  const many = octaves === 1 ? 'an octave' : `${octaves} octaves`
  return `${many} ${cents > 0 ? 'high' : 'low'} (${sharpOrFlat(cents)})`
}

/** "7.1 c below partial 1": where a tone lies. */
export function placeWords({ k, fromPartialCents }: Tone): string {
  const size = plainNumber(Math.abs(fromPartialCents))
  return `${size} c ${fromPartialCents > 0 ? 'above' : 'below'} partial ${k}`
}

function toneWords(tone: Tone): string {
  const { overPartialDb } = tone
  const louder = Math.abs(overPartialDb) >= worthSayingDb
  const level = louder
    ? ` and ${plainNumber(Math.abs(overPartialDb))} dB ${overPartialDb > 0 ? 'stronger' : 'weaker'},`
    : ','
  return `a tone of the room at ${hertz(tone.hz)} Hz, ${placeWords(tone)}${level}`
}

const toneAlone = (tone: Tone): string => `a tone of the room at ${hertz(tone.hz)} Hz held its readings`

function partialWords(followed: Followed & { readonly kind: 'partial' }): string {
  const { k, overFirstDb, hz } = followed
  if (k < 0) return `${partWords(-k)} the string’s frequency, ${hertz(hz)} Hz`
  const level = Number.isNaN(overFirstDb)
    ? ''
    : `, which starts ${plainNumber(Math.abs(overFirstDb))} dB ${overFirstDb >= 0 ? 'stronger' : 'weaker'} than partial 1`
  return `partial ${k}${level}`
}

const partWords = (part: number): string => ({ 2: 'half', 3: 'a third of', 4: 'a quarter of' })[part] ?? `1/${part} of`

/** Where they lay, when enough of them lay together at something known; else how many of them were octaves. */
function awayWords({ count, octaves, together, followed }: Cause & { readonly kind: 'elsewhere' }): string {
  if (followed.kind !== 'nothing' && together >= count / 3) {
    const most = together === count ? 'all' : `${together} of them`
    if (followed.kind === 'partial') return `, ${most} on ${partialWords(followed)}`
    return `, ${most} on a tone of the room at ${hertz(followed.tone.hz)} Hz, ${placeWords(followed.tone)}`
  }
  if (octaves === 0) return ''
  return `, ${octaves === count ? 'all' : `${octaves} of them`} by whole octaves`
}
