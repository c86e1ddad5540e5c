/** A study in words: what stands in the sentence, on the phone's line and in its rows. */
import { presetIds, presetStudy } from '../../core/study/presets.ts'
import { trialCount } from '../../core/study/record.ts'
import type { Study } from '../../core/study/study.ts'
import { oneInstrument, ratiosOf, stringWord } from '../bench/columns.ts'
import { counted, listed, signedDb } from '../bench/figures.ts'

const few = 3

export function stringsWords(study: Study): string {
  const { strings } = study
  const instrument = oneInstrument(study)
  const words =
    strings.length <= few ? listed(strings.map(({ id }) => stringWord(study, id))) : counted(strings.length, 'string')
  return instrument === null ? words : `${words} of ${instrument}`
}

export function roomsWords({ rooms }: Study): string {
  return rooms.length < few ? listed(rooms.map((room) => room.id)) : counted(rooms.length, 'room')
}

export function ratiosWords(study: Study): string {
  const ratios = ratiosOf(study)
  if (ratios.length <= few) return `${listed(ratios.map(signedDb))} dB`
  return `${signedDb(ratios[0] ?? 0)} to ${signedDb(ratios.at(-1) ?? 0)} dB`
}

export function methodsWords({ methods }: Study): string {
  return methods.length === 1 ? (methods[0]?.id ?? '') : counted(methods.length, 'method')
}

export const repeatsWords = ({ repeats }: Study): string => (repeats === 1 ? 'once' : `${repeats} times`)

export const steadyWords = ({ claim }: Study): string => `${claim.spanCents}\u00a0c for ${claim.holdS}\u00a0s`

export const learntWords = ({ roomLearnt }: Study): string => (roomLearnt ? 'knowing the room' : 'not knowing the room')

export const trialsWords = (study: Study): string => counted(trialCount(study), 'trial')

/** The preset a study is equal to, name aside. */
export function presetOf(study: Study): string | null {
  const parts = (one: Study): Record<string, unknown> => ({ ...one, id: '' })
  const given = parts(study)
  const same = (id: string): boolean =>
    Object.entries(parts(presetStudy(id))).every(([key, value]) => JSON.stringify(value) === JSON.stringify(given[key]))
  return presetIds.find(same) ?? null
}

export const presetWords: Readonly<Record<string, string>> = {
  first: 'first look: two strings in white noise, done in seconds',
  quick: 'quick: ours and outside methods in noise and beside a stage',
  standard: 'standard: all six strings, four rooms, seven ratios; takes minutes',
  field: 'field: every method once over',
  plan: 'plan: six strings beside a stage, plucked often enough to plan from; takes minutes',
}
