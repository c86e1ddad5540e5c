/**
 * The guided take as a value: which part is asked for now, and how each one stands. Events in, next value out; whoever owns
 * the sound looks at `step` and `ticket` and asks for what they say.
 *
 * Parts are asked for in order and may be done again. A part that is broken (sound lost, overload, silence) is asked for again
 * at once; one that turns out later to hold no string, or another one, comes back at the end. After two such plucks
 * a string is left as it is: a third would tell nothing new, and the person has others waiting (own choice).
 */

export type Step = 'reminder' | 'input' | 'damp' | 'noise' | 'pluck' | 'keep' | 'done'

/** Why a part cannot be used. The last two are found in the sound, after it was kept. */
export type Broken = 'lost' | 'overload' | 'silent' | 'not-heard' | 'other-string'
export type Standing = 'to-do' | 'kept' | 'skipped' | Broken

export interface GuidedPart {
  /** Id of the string. */
  readonly id: string
  readonly standing: Standing
  /** How often a pluck of it was kept and judged of no use. */
  readonly refused: number
  /** The string that sounded in its place, if that was the trouble. */
  readonly other: string | null
}

export interface Guide {
  readonly step: Step
  readonly noise: 'to-do' | 'kept' | Broken
  /** In the order they are asked for. */
  readonly strings: readonly GuidedPart[]
  /** Which string `pluck` and `keep` speak of; null in other steps. */
  readonly asked: string | null
  /** Goes up with everything that is asked for: answers to earlier requests are late and change nothing. */
  readonly ticket: number
  /** The person said that it was plucked although no onset was found. */
  readonly forced: boolean
}

export type GuideEvent =
  /** The main button, any key or a pedal. */
  | { readonly kind: 'advance' }
  | { readonly kind: 'listening'; readonly on: boolean }
  | { readonly kind: 'onset'; readonly ticket: number }
  | { readonly kind: 'kept'; readonly ticket: number; readonly broken: Broken | null }
  | {
      readonly kind: 'refused'
      readonly string: string
      readonly why: 'not-heard' | 'other-string'
      readonly other: string | null
    }
  | { readonly kind: 'skip' }
  /** null: the noise. */
  | { readonly kind: 'redo'; readonly string: string | null }

const mostRefused = 2

export const beginGuide = (strings: readonly string[]): Guide => ({
  step: 'reminder',
  noise: 'to-do',
  strings: strings.map((id) => ({ id, standing: 'to-do', refused: 0, other: null })),
  asked: null,
  ticket: 0,
  forced: false,
})

export function guided(guide: Guide, event: GuideEvent): Guide {
  switch (event.kind) {
    case 'advance':
      return advanced(guide)
    case 'listening':
      return listening(guide, event.on)
    case 'onset':
      return guide.step === 'pluck' && event.ticket === guide.ticket ? { ...guide, step: 'keep' } : guide
    case 'kept':
      return event.ticket === guide.ticket ? kept(guide, event.broken) : guide
    case 'refused':
      return refused(guide, event.string, event.why, event.other)
    case 'skip':
      return skipped(guide)
    case 'redo':
      return redone(guide, event.string)
  }
}

/** Strings that are still to be plucked. */
export const openStrings = ({ strings }: Guide): readonly GuidedPart[] => strings.filter(isOpen)

function isOpen({ standing, refused: times }: GuidedPart): boolean {
  if (standing === 'kept' || standing === 'skipped') return false
  return (standing !== 'not-heard' && standing !== 'other-string') || times < mostRefused
}

function advanced(guide: Guide): Guide {
  if (guide.step === 'reminder') return { ...guide, step: 'input' }
  if (guide.step === 'damp') return { ...guide, step: 'noise', ticket: guide.ticket + 1 }
  if (guide.step === 'pluck') return { ...guide, step: 'keep', forced: true }
  return guide
}

function listening(guide: Guide, on: boolean): Guide {
  if (on) return guide.step === 'input' ? afterNoise(guide) : guide
  if (guide.step === 'reminder' || guide.step === 'done') return guide
  return { ...guide, step: 'input', asked: null, forced: false, ticket: guide.ticket + 1 }
}

const afterNoise = (guide: Guide): Guide =>
  guide.noise === 'kept' ? next(guide, null) : { ...guide, step: 'damp', asked: null }

function kept(guide: Guide, broken: Broken | null): Guide {
  if (guide.step === 'noise') {
    return broken === null ? next({ ...guide, noise: 'kept' }, null) : { ...guide, step: 'damp', noise: broken }
  }
  if (guide.step !== 'keep' && guide.step !== 'pluck') return guide
  const { asked } = guide
  const marked = withStanding(guide, asked, (part) => ({ ...part, standing: broken ?? 'kept', other: null }))
  return broken === null ? next(marked, asked) : ask(marked, asked)
}

function refused(guide: Guide, string: string, why: 'not-heard' | 'other-string', other: string | null): Guide {
  const found = guide.strings.find(({ id }) => id === string)
  // It was plucked again meanwhile, or skipped: the answer is about an older pluck.
  if (found?.standing !== 'kept') return guide
  const marked = withStanding(guide, string, (part) => ({ ...part, standing: why, other, refused: part.refused + 1 }))
  return guide.step === 'done' ? next(marked, null) : marked
}

function skipped(guide: Guide): Guide {
  if (guide.step !== 'pluck' && guide.step !== 'keep') return guide
  return next(
    withStanding(guide, guide.asked, (part) => ({ ...part, standing: 'skipped' })),
    guide.asked,
  )
}

function redone(guide: Guide, string: string | null): Guide {
  if (guide.step === 'reminder' || guide.step === 'input') return guide
  if (string === null) {
    return { ...guide, step: 'damp', noise: 'to-do', asked: null, forced: false, ticket: guide.ticket + 1 }
  }
  if (guide.noise !== 'kept' || guide.strings.every(({ id }) => id !== string)) return guide
  const fresh = withStanding(guide, string, (part) => ({ ...part, standing: 'to-do', refused: 0, other: null }))
  return ask(fresh, string)
}

/** The next open string after `from`, going round; done when there is none. */
function next(guide: Guide, from: string | null): Guide {
  const at = guide.strings.findIndex(({ id }) => id === from)
  const round = [...guide.strings.slice(at + 1), ...guide.strings.slice(0, at + 1)]
  const open = round.find(isOpen)
  return open === undefined ? { ...guide, step: 'done', asked: null, forced: false } : ask(guide, open.id)
}

const ask = (guide: Guide, asked: string | null): Guide => ({
  ...guide,
  step: 'pluck',
  asked,
  forced: false,
  ticket: guide.ticket + 1,
})

const withStanding = (guide: Guide, id: string | null, change: (part: GuidedPart) => GuidedPart): Guide => ({
  ...guide,
  strings: guide.strings.map((part) => (part.id === id ? change(part) : part)),
})
