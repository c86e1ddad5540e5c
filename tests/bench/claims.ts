/**
 * What aimed methods claim where they should not: one case a line, strings E2 to E4, takes of 2.5 s, claims as in every study
 * (6 c over 0.25 s, 5 c allowed). Bundle and run as claims.md says: `node claims.mjs SEED REPEATS METHOD,METHOD [CASE ...]`.
 */
import { wilson } from '../../src/core/maths/statistics.ts'
import { knownRooms, presetStudy, roomById, stringById } from '../../src/core/study/presets.ts'
import type { Study, StudyRoom } from '../../src/core/study/study.ts'
import { openStudy } from '../../src/core/study/trial.ts'

const names = ['E2', 'A2', 'D3', 'G3', 'B3', 'E4']

interface Case {
  readonly room: string
  readonly snrDb: number
  readonly pluck?: Readonly<Record<string, number>>
  /** A steady tone so far from the note in hand, with that many harmonics, in place of the room's noises. */
  readonly tone?: { readonly cents: number; readonly harmonics: number }
  readonly sympatheticDb?: number
}

const noNote = (id: string): Readonly<Record<string, Case>> => ({
  [`no note, ${id}`]: { room: `${id}/no-string`, snrDb: 0 },
})
const tone = (cents: number, harmonics: number): Readonly<Record<string, Case>> => ({
  [`tone ${cents} c off, ${harmonics} harmonics`]: { room: 'pink/no-string', snrDb: 0, tone: { cents, harmonics } },
})

const cases: Readonly<Record<string, Case>> = {
  'stage 0 dB': { room: 'stage', snrDb: 0 },
  'glide 10 c in 150 ms, 20 dB': { room: 'white', snrDb: 20, pluck: { glideCents: 10, glideS: 0.15 } },
  ...Object.assign({}, ...['white', 'pink', 'stage', 'babble', 'encore'].map(noNote)),
  'wrong string, white 10 dB': { room: 'white/wrong-string', snrDb: 10 },
  'wrong string, stage 10 dB': { room: 'stage/wrong-string', snrDb: 10 },
  'neighbours ring along, pink 10 dB': { room: 'pink', snrDb: 10, sympatheticDb: -20 },
  'held chord 10 dB': { room: 'held-chord', snrDb: 10 },
  'twin string 10 dB': { room: 'twin-string', snrDb: 10 },
  ...Object.assign({}, ...[0, 8, 20, 60, 150].flatMap((cents) => [tone(cents, 1), tone(cents, 8)])),
  'unison alone': { room: 'twin-string/no-string', snrDb: 0 },
}

const [seed, repeats, methodIds, ...chosen] = process.argv.slice(2)

function roomOf({ room, tone: off, sympatheticDb }: Case, targetHz: number): StudyRoom {
  const [name] = room.split('/')
  if (!knownRooms.some(({ id }) => id === name)) throw new Error(`no room ${room}`)
  const found = roomById(room)
  const parts =
    off === undefined
      ? found.parts
      : [
          {
            id: 'hum',
            levelDb: 0,
            values: { mainsHz: targetHz * 2 ** (off.cents / 1200), harmonics: off.harmonics, slopeDb: -6 },
          },
          { id: 'pink', levelDb: -20, values: {} },
        ]
  return { ...found, parts, ...(sympatheticDb === undefined ? {} : { sympatheticDb }) }
}

for (const [title, one] of Object.entries(cases)) {
  if (chosen.length > 0 && !chosen.some((part) => title.includes(part))) continue
  for (const roomLearnt of [true, false]) {
    const tally = new Map<string, { n: number; right: number; wrong: number }>()
    for (const name of names) {
      const string = stringById(name)
      const study: Study = {
        ...presetStudy('first'),
        seed: Number(seed),
        // What is not learnt stands beside, to see by how much it differs.
        repeats: roomLearnt ? Number(repeats) : Math.ceil(Number(repeats) / 5),
        takeS: 2.5,
        strings: [{ ...string, pluck: { ...string.pluck, glideCents: 0, ...one.pluck } }],
        rooms: [roomOf(one, string.targetHz)],
        snrsDb: [one.snrDb],
        methods: (methodIds ?? '').split(',').map((id) => ({ id, values: {} })),
        roomLearnt,
      }
      const open = openStudy(study, new Map())
      for (let index = 0; index < open.trialCount; index++) {
        for (const outcome of open.run(index).outcomes) {
          if (outcome.state !== 'scored') throw new Error(outcome.problem.what)
          const row = tally.get(outcome.method.id) ?? { n: 0, right: 0, wrong: 0 }
          tally.set(outcome.method.id, row)
          row.n++
          if (outcome.score.claim === 'true') row.right++
          else if (outcome.score.claim !== 'none') row.wrong++
        }
      }
    }
    for (const [id, { n, right, wrong }] of tally) {
      const { high } = wilson(wrong, n)
      process.stdout.write(
        `| ${title} | ${roomLearnt ? 'learnt' : 'not'} | ${id} | ${wrong} of ${n} | ${(100 * high).toFixed(1)} % | ${right} |\n`,
      )
    }
  }
}
