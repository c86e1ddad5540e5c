/**
 * A plan's choices as part of an address: packed JSON that holds only what differs from the first visit's choices. An instrument of
 * the demo is its id, any other is written out; a room that has a name is its name.
 */
import { checked, fill } from '../../core/fields.ts'
import { parseInstrument } from '../../core/instruments/parse.ts'
import { instrumentById, knownInstruments } from '../../core/instruments/podium.ts'
import { defaultHand, defaultWork, type Hand, handFields, workFields } from '../../core/plan/hand.ts'
import { Problem } from '../../core/problem.ts'
import { parseStudy } from '../../core/study/parse.ts'
import { knownRooms, roomById, studyDefaults } from '../../core/study/presets.ts'
import { packed, unpacked } from '../run/link.ts'
import { firstChoices, type MeasuredHand, type PlanChoices, planFields } from './choices.ts'
import { whatIfIds } from './whatif.ts'

const equal = (a: unknown, b: unknown): boolean => JSON.stringify(a) === JSON.stringify(b)

/** '' for the first visit's choices. */
export async function planCode(choices: PlanChoices): Promise<string> {
  const written: Record<string, unknown> = {
    ...choices,
    instrument: knownInstruments.some((known) => equal(known, choices.instrument))
      ? choices.instrument.id
      : choices.instrument,
    room: isKnownRoom(choices) ? choices.room.id : choices.room,
    hand: differing(choices.hand, defaultHand),
    work: differing(choices.work, defaultWork),
  }
  const usual: Record<string, unknown> = {
    ...firstChoices,
    instrument: firstChoices.instrument.id,
    room: firstChoices.room.id,
    hand: {},
    work: {},
  }
  const changes = Object.fromEntries(Object.entries(written).filter(([name, value]) => !equal(value, usual[name])))
  return Object.keys(changes).length === 0 ? '' : packed(changes)
}

const isKnownRoom = ({ room }: PlanChoices): boolean =>
  knownRooms.some(({ id }) => room.id.split('/')[0] === id) && equal(roomById(room.id), room)

const differing = (values: Readonly<Record<string, number>>, usual: Readonly<Record<string, number>>) =>
  Object.fromEntries(Object.entries(values).filter(([name, value]) => value !== usual[name]))

/** @throws Problem when the code is no plan of ours, or asks for what there is not. */
export async function choicesOfCode(code: string): Promise<PlanChoices> {
  if (code === '') return firstChoices
  const json = await unpacked(code)
  if (typeof json !== 'object' || json === null || Array.isArray(json)) throw new Problem('it holds no plan', 'link')
  const given = json as Readonly<Record<string, unknown>>
  const stranger = Object.keys(given).find((name) => !Object.hasOwn(firstChoices, name))
  if (stranger !== undefined) throw new Problem('no such choice', stranger)
  const { rooms, methods, snrsDb, repeats } = parseStudy({
    ...studyDefaults,
    ...{ strings: ['E2'], rooms: [given.room ?? firstChoices.room.id] },
    ...{ snrsDb: given.snrsDb ?? firstChoices.snrsDb, methods: given.methods ?? firstChoices.methods },
    repeats: checked(given.repeats ?? firstChoices.repeats, planFields.repeats, 'repeats'),
  })
  const number = (name: 'budgetS' | 'withinCents' | 'wantedChance' | 'seed'): number =>
    checked(given[name] ?? firstChoices[name], planFields[name], name)
  return {
    instrument:
      typeof given.instrument === 'string'
        ? instrumentById(given.instrument)
        : given.instrument === undefined
          ? firstChoices.instrument
          : parseInstrument(given.instrument, 'instrument'),
    room: rooms[0] ?? firstChoices.room,
    ...{ methods, repeats, snrsDb: [...snrsDb].sort((a, b) => a - b) },
    slowToo: given.slowToo === true,
    // A ratio outside the recorded ones is the planner's to refuse: it says what to record.
    snrDb: checked(
      given.snrDb ?? firstChoices.snrDb,
      { min: -60, max: 120, unit: 'dB', default: 0, help: '' },
      'snrDb',
    ),
    budgetS: number('budgetS'),
    withinCents: number('withinCents'),
    wantedChance: number('wantedChance'),
    bridge: bridgeOf(given.bridge ?? firstChoices.bridge),
    hand: fill(handFields, record(given.hand, 'hand'), 'hand'),
    measured: given.measured === undefined || given.measured === null ? null : measuredOf(given.measured),
    work: fill(workFields, record(given.work, 'work'), 'work'),
    offsetsKnown: given.offsetsKnown === true,
    seed: number('seed'),
    whatIf: Array.isArray(given.whatIf) ? whatIfIds.filter((id) => (given.whatIf as unknown[]).includes(id)) : [],
  }
}

function record(given: unknown, where: string): Readonly<Record<string, unknown>> {
  if (given === undefined) return {}
  if (typeof given === 'object' && given !== null && !Array.isArray(given)) return given as Record<string, unknown>
  throw new Problem('is no list of settings', where)
}

function bridgeOf(given: unknown): PlanChoices['bridge'] {
  if (given === 'fixed' || given === 'floating') return given
  throw new Problem(`"${String(given)}" is neither fixed nor floating`, 'bridge')
}

function measuredOf(given: unknown): MeasuredHand {
  const { hand, intervals, n } = record(given, 'measured')
  const named = record(hand, 'measured.hand')
  const filled = fill(handFields, named, 'measured.hand')
  const ends = Object.entries(record(intervals, 'measured.intervals')).map(([name, pair]) => {
    const [low, high] = Array.isArray(pair) ? (pair as unknown[]) : []
    if (!Object.hasOwn(handFields, name) || typeof low !== 'number' || typeof high !== 'number') {
      throw new Problem('is no interval of a hand', `measured.intervals.${name}`)
    }
    return [name, [low, high] as const]
  })
  if (typeof n !== 'number' || !(n >= 1)) throw new Problem('is no number of turns', 'measured.n')
  return {
    hand: Object.fromEntries(Object.keys(named).map((name) => [name, filled[name as keyof Hand]])),
    intervals: Object.fromEntries(ends),
    n,
  }
}
