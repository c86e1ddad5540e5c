/**
 * The exercises in the order in which they are learnt. Instruments, rooms and ratios are invented; every number is a choice of
 * our own about what is worth practising, none was measured.
 */
import { Problem } from '../problem.ts'
import { type Exercise, parseExercise } from './exercise.ts'

/**
 * A display as a person meets it: averaged over 0.2 s, twenty updates a second so that a hold of 0.25 s can be seen, and shut 19 dB
 * under a pluck so that a quiet room before it is not averaged in while a string is still read two seconds later.
 */
const display = { averagingMs: 200, updateHz: 20, gateDb: -45 }
/** Steady in noise, seldom off by more than some cents. */
const rough = (letGoCents: number) => ({ id: 'whitened-sum', letGoCents, display })
const fine = (letGoCents: number) => ({ id: 'partial-fit', letGoCents, display })

const roughThenFine = (roughCents: number, fineCents: number) => [
  { method: 0, letGoCents: roughCents, handOver: 'confirm' },
  { method: 1, letGoCents: fineCents, handOver: 'confirm' },
]

const list: readonly unknown[] = [
  {
    ...{ schema: 1, id: 'quiet-fine', title: 'Quiet, one string' },
    task: 'Pluck, wait until the reading stands, turn, and pluck again until it reads inside. Then let go.',
    sets: [{ instrument: 'ring-rhythm', strings: [5] }],
    ...{ room: 'bench-quiet', startFromCents: 10, startToCents: 30, methods: [fine(2)], toleranceCents: 4 },
  },
  {
    ...{ schema: 1, id: 'rough-stop', title: 'Rough only: stop at the hand-over' },
    task: 'The rough method brings a string near. Once it reads inside ±8 c, leave the string: more turning is lost time.',
    sets: [{ instrument: 'ring-rhythm', strings: [5, 4] }],
    ...{ room: 'pink', snrDb: 15, startFromCents: 30, startToCents: 100 },
    ...{ methods: [rough(8)], toleranceCents: 12, passS: 12 },
  },
  {
    ...{ schema: 1, id: 'switching', title: 'Switch at the hand-over' },
    task: 'Rough until it reads inside ±8 c, then fine. In a room as quiet as this the fine one alone would do: here the change itself is practised.',
    sets: [{ instrument: 'ring-rhythm', strings: [5, 4] }],
    ...{ room: 'pink', snrDb: 20, startFromCents: 30, startToCents: 100 },
    ...{ methods: [rough(8), fine(2)], toleranceCents: 4, stages: roughThenFine(8, 2), passS: 16 },
  },
  {
    ...{ schema: 1, id: 'noise', title: 'In noise' },
    task: 'The same beside a stage. Readings jump: believe what stands, and pluck again when nothing does.',
    sets: [{ instrument: 'ring-rhythm', strings: [5, 3] }],
    ...{ room: 'stage', snrDb: 8, startFromCents: 20, startToCents: 80 },
    ...{ methods: [rough(8), fine(2)], toleranceCents: 6, stages: roughThenFine(8, 2), passS: 20 },
  },
  {
    ...{ schema: 1, id: 'clock', title: 'Against the clock' },
    task: 'Six strings in 75 seconds. Do not polish: inside is done.',
    sets: [{ instrument: 'ring-rhythm', strings: [6, 5, 4, 3, 2, 1] }],
    ...{ room: 'stage', snrDb: 15, startFromCents: 5, startToCents: 30, clockS: 75 },
    ...{ methods: [rough(8), fine(3)], toleranceCents: 6, passS: 40 },
  },
  {
    ...{ schema: 1, id: 'tone', title: 'A tone in the key' },
    task: 'A keyboard holds a chord with your note in it. After the last turn pluck again: only a new pluck confirms.',
    sets: [{ instrument: 'ring-rhythm', strings: [4] }],
    ...{ room: 'held-chord', snrDb: 20, startFromCents: 15, startToCents: 40, confirmPluck: true },
    ...{ methods: [fine(2)], toleranceCents: 4, passS: 10 },
  },
  {
    ...{ schema: 1, id: 'from-flat', title: 'Overshoot, and come from flat' },
    task: 'The string is sharp and its peg has 20° of play. Go under the note and come up to it: a string let down gives way later.',
    sets: [{ instrument: 'ring-lead', strings: [3] }],
    ...{ room: 'bench-quiet', startSide: 'sharp', startFromCents: 8, startToCents: 30 },
    ...{ methods: [fine(2)], toleranceCents: 4, backlashDeg: 20, slackCents: 4, passS: 12 },
  },
  {
    ...{ schema: 1, id: 'floating', title: 'A floating bridge' },
    task: 'Each string you raise lets the others down. Go over all of them until one whole round needs no turn.',
    sets: [{ instrument: 'ring-lead', strings: [6, 5, 4, 3, 2, 1] }],
    ...{ room: 'bench-quiet', startSide: 'flat', startFromCents: 8, startToCents: 15, bridge: 'floating' },
    ...{ bridgeNPerMm: 200, methods: [fine(3)], toleranceCents: 6, morePasses: 8, passS: 90 },
  },
  {
    ...{ schema: 1, id: 'change-over', title: 'Change-over of two instruments' },
    task: 'Tune the first, pluck each of its strings once more to check, hand it over, and do the same with the second.',
    sets: [
      { instrument: 'ring-rhythm', strings: [6, 3, 1] },
      { instrument: 'ring-lead', strings: [5, 2] },
    ],
    ...{ room: 'stage', snrDb: 15, startFromCents: 5, startToCents: 25, check: true },
    ...{ methods: [fine(2.5)], toleranceCents: 6, passS: 40 },
  },
]

export const exercises: readonly Exercise[] = list.map(parseExercise)

/** @throws Problem that lists the known ids. */
export function exerciseById(id: string): Exercise {
  const found = exercises.find((exercise) => exercise.id === id)
  if (found !== undefined) return found
  throw new Problem(`no exercise "${id}"; known are ${exercises.map((one) => one.id).join(', ')}`, 'exercise')
}
