/** Numbers of a study, each with its limits. */
import type { Field } from '../fields.ts'
import { sceneFields } from '../scene/parse.ts'
import { studyDefaults } from './presets.ts'

export const studyFields = {
  seed: sceneFields.seed,
  sampleRateHz: sceneFields.sampleRateHz,
  takeS: { default: studyDefaults.takeS, min: 0.8, max: 60, unit: 's', help: 'Length of a take, lead included.' },
  leadS: { default: studyDefaults.leadS, min: 0.5, max: 30, unit: 's', help: 'Time before the pluck.' },
  detuneCents: {
    default: studyDefaults.detuneCents,
    min: 0,
    max: 150,
    unit: 'c',
    help: 'Each repeat is up to this far off its note.',
  },
  repeats: { default: 5, min: 1, max: 10000, unit: 'count', whole: true, help: 'Trials a cell.' },
  lowestHz: {
    default: studyDefaults.lowestHz,
    min: 15,
    max: 5000,
    unit: 'Hz',
    help: 'Lowest pitch that blind methods look for.',
  },
  highestHz: {
    default: studyDefaults.highestHz,
    min: 30,
    max: 20000,
    unit: 'Hz',
    help: 'Highest pitch that blind methods look for.',
  },
} as const satisfies Record<string, Field>

export const claimFields = {
  spanCents: {
    default: studyDefaults.claim.spanCents,
    min: 0.1,
    max: 100,
    unit: 'c',
    help: 'Readings of a hold stay within this.',
  },
  holdS: { default: studyDefaults.claim.holdS, min: 0.05, max: 2, unit: 's', help: 'How long they must stay.' },
  tolCents: {
    default: studyDefaults.claim.tolCents,
    min: 0.1,
    max: 50,
    unit: 'c',
    help: 'A claim within this of the truth is true.',
  },
} as const satisfies Record<string, Field>

/** Their absence means something, so they have no default of their own. */
export const absentFields = {
  farDetuneCents: { ...studyFields.detuneCents, help: 'Every second repeat is up to this far off its note.' },
  unevenDb: {
    default: 0,
    min: 0,
    max: 12,
    unit: 'dB',
    help: 'Repeats are plucked harder or softer by so much, standard deviation.',
  },
  plucksAString: {
    default: 3,
    min: 3,
    max: 64,
    unit: 'count',
    whole: true,
    help: 'Repeats that pluck one string, anew each time and at every ratio.',
  },
  learntStretches: {
    default: 1,
    min: 1,
    max: 64,
    unit: 'count',
    whole: true,
    help: 'Stretches of each room that are learnt; strings take them by turns.',
  },
} as const satisfies Record<string, Field>

export const letGoField: Field = {
  default: 5,
  min: 0.5,
  max: 150,
  unit: 'c',
  help: 'A claim within this of the note hands over to the next stage.',
}
