/**
 * Evenings that are both predicted from records and lived through on sound: instrument, room, bridge and way of working of each.
 *
 * Ways of working are set down, not chosen by the optimiser: what is tested is whether a plan's numbers come true. Methods are
 * quick ones, so that two thousand evenings can be heard within half an hour of one core. Hand and work are the defaults.
 */
import { instrumentById } from '../../../src/core/instruments/podium.ts'
import type { Chain } from '../../../src/core/plan/chain.ts'
import { planStudy, roomById } from '../../../src/core/study/presets.ts'
import type { MethodChoice, Outcome, Study } from '../../../src/core/study/study.ts'

export interface Setting {
  readonly id: string
  readonly words: string
  readonly instrument: string
  readonly room: string
  readonly snrDb: number
  /** `stage`: all strings are plucked as hard in one noise. */
  readonly level: 'ratio' | 'stage'
  readonly bridge: 'fixed' | 'floating'
  readonly methods: readonly MethodChoice[]
  readonly chain: Chain
  /** What counts as in tune, cents. */
  readonly withinCents: number
}

/** Half the rate of other studies, and windows as long in seconds as usual: a pluck is rendered and heard in a third of the time. */
const sampleRateHz = 24000
const partialFit: MethodChoice = { id: 'partial-fit', values: { window: 2048, hop: 256 } }

export const settings: readonly Setting[] = [
  {
    id: 'quiet',
    words: 'electric guitar, fixed bridge, pink noise 20 dB under the strings, one method',
    ...{ instrument: 'ring-rhythm', room: 'pink', snrDb: 20, level: 'ratio', bridge: 'fixed' },
    methods: [partialFit],
    chain: { stages: [{ method: 0, letGoCents: 1.5, handOver: 'confirm' }], verified: true },
    withinCents: 3,
  },
  {
    id: 'stage',
    words: 'electric guitar, fixed bridge, all strings plucked as hard in one stage noise, 5 dB under the third lowest',
    ...{ instrument: 'ring-rhythm', room: 'stage', snrDb: 5, level: 'stage', bridge: 'fixed' },
    methods: [{ id: 'whitened-sum', values: { window: 8192, hop: 256 } }],
    chain: { stages: [{ method: 0, letGoCents: 4, handOver: 'confirm' }], verified: true },
    withinCents: 8,
  },
  {
    id: 'two-stages',
    words:
      'electric guitar, fixed bridge, stage noise 10 dB under; a quick method first, then one with twice the window',
    ...{ instrument: 'ring-rhythm', room: 'stage', snrDb: 10, level: 'ratio', bridge: 'fixed' },
    methods: [
      { id: 'harmonic-sum', values: { window: 2048, hop: 256 } },
      { id: 'partial-fit', values: { window: 4096, hop: 256 } },
    ],
    chain: {
      stages: [
        { method: 0, letGoCents: 5, handOver: 'turn-once' },
        { method: 1, letGoCents: 2, handOver: 'confirm' },
      ],
      verified: true,
    },
    withinCents: 3,
  },
  {
    id: 'ahead',
    words: 'electric guitar, floating bridge of 100 N/mm, pink noise 15 dB under, the first pass tuned ahead',
    ...{ instrument: 'ring-lead', room: 'pink', snrDb: 15, level: 'ratio', bridge: 'floating' },
    methods: [partialFit],
    chain: {
      stages: [
        { method: 0, letGoCents: 3, handOver: 'confirm', ahead: true },
        { method: 0, letGoCents: 2, handOver: 'confirm' },
      ],
      verified: true,
    },
    withinCents: 4,
  },
  {
    id: 'bass',
    words: 'four-string bass, fixed bridge, stage noise 10 dB under, one method',
    ...{ instrument: 'ring-bass', room: 'stage', snrDb: 10, level: 'ratio', bridge: 'fixed' },
    methods: [partialFit],
    chain: { stages: [{ method: 0, letGoCents: 3, handOver: 'confirm' }], verified: true },
    withinCents: 5,
  },
]

/** Ratios recorded, dB over the setting's own: one noisier, as far off as in the preset, for what was too rare to be recorded. */
const recordedDb = [-5, 0]

/**
 * Plucks a string and ratio, three times the preset's: whether the model is true is to be seen, not how lucky 200 plucks were. What those alone say
 * (the first of them) is told beside it.
 */
const repeats = 600

/**
 * The preset `plan` for a setting, with more plucks; the methods are those of the chain. Offsets read in quiet are not asked for, so takes
 * are heard until the claim.
 */
export function studyOf({ instrument, room, snrDb, level, methods }: Setting, seed: number): Study {
  const study = planStudy({
    instrument: instrumentById(instrument, 'instrument'),
    room: roomById(room),
    snrsDb: recordedDb.map((db) => snrDb + db),
  })
  return { ...study, repeats, seed, sampleRateHz, methods, untilClaim: true, ...(level === 'stage' ? { level } : {}) }
}

/** As the preset has it: of every cell the first of its plucks. */
export function asPreset(
  study: Study,
  outcomes: readonly Outcome[],
): { readonly study: Study; readonly outcomes: readonly Outcome[] } {
  const { repeats: fewer } = planStudy({ room: roomById('white') })
  const whole = study.repeats * study.methods.length
  const part = fewer * study.methods.length
  return { study: { ...study, repeats: fewer }, outcomes: outcomes.filter((_, at) => at % whole < part) }
}
