/** Cases `aimed` of room.ts: how often AimedWatch accuses the right string, and how often it tells another note. */
import { randomStream } from '../../src/core/maths/random.ts'
import { wilson } from '../../src/core/maths/statistics.ts'
import { AimedWatch, type Foreign } from '../../src/core/room/aimedwatch.ts'
import { noiseFigures } from '../../src/core/room/noisetake.ts'
import { bass, guitar, makeTake, roomNoise, roomStrings } from '../unit/roomtakes.ts'

const rateHz = 48_000
const ratiosDb = [0, 7, 13, 20] as const
/** From the pluck on; a person reads within that. */
const takeS = 2.1

interface Heard {
  readonly words: readonly { readonly atS: number; readonly foreign: Foreign | null }[]
  readonly plucks: readonly number[]
}

export interface AimedCase {
  readonly ids: readonly string[]
  readonly room: string
  readonly learnt: boolean
  /** Off the string aimed at: of the string that sounds. */
  readonly cents: (uniform: number) => number
  readonly pluck?: Readonly<Record<string, number>>
  readonly name: string
}

function heardIn(
  samples: Float32Array,
  hear: (watching: ConstructorParameters<typeof AimedWatch>[4]) => AimedWatch,
): Heard {
  const words: { atS: number; foreign: Foreign | null }[] = []
  const plucks: number[] = []
  let at = 0
  const watch = hear({
    onPluck: () => plucks.push(at / rateHz),
    onForeign: (foreign) => words.push({ atS: at / rateHz, foreign }),
  })
  // As a page hears it: in blocks of 10 ms.
  for (; at < samples.length; ) {
    const block = samples.subarray(at, at + rateHz / 100)
    at += block.length
    watch.push(block)
  }
  return { words, plucks }
}

const percent = (hits: number, n: number): string => {
  const { value, low, high } = wilson(hits, n)
  return `${hits} of ${n} (${[value, low, high].map((one) => (100 * one).toFixed(1)).join(', ')} %)`
}

export function aimed({ ids, room, learnt, cents, pluck = {}, name }: AimedCase, seed: number, repeats: number): void {
  const set = roomStrings(ids)
  const told = { 'octave-above': 0, another: 0, none: 0 }
  const perRatio: Record<number, number> = {}
  const whenS: number[] = []
  const seen: string[] = []
  let [plucks, oneEach, still] = [0, 0, 0]
  for (let n = 0; n < repeats; n++) {
    const id = ids[n % ids.length] ?? ''
    const snrDb = ratiosDb[Math.floor(n / ids.length) % ratiosDb.length] ?? 0
    const off = cents(randomStream(seed, 'aimed', name, id, room, n).uniform())
    const made = makeTake({ string: id, room, snrDb, cents: off, seed, repeat: n, takeS: takeS + 0.5, pluck })
    const aimedAt = set.find((one) => one.id === id) ?? set[0]
    const noise = learnt ? noiseFigures(made.noise, rateHz, set) : null
    const heard = heardIn(made.samples, (watching) => new AimedWatch(rateHz, aimedAt, set, noise, watching))
    const first = heard.words.find(({ foreign }) => foreign !== null)
    if ((heard.words.at(-1)?.foreign ?? null) !== null) still++
    told[first?.foreign?.kind ?? 'none']++
    const own = heard.plucks.filter((atS) => atS > made.onsetS && atS < made.onsetS + 0.15)
    plucks += heard.plucks.length
    oneEach += own.length
    if (first === undefined) continue
    perRatio[snrDb] = (perRatio[snrDb] ?? 0) + 1
    whenS.push(first.atS - made.onsetS)
    seen.push(`${id}${off.toFixed(0)}@${snrDb}:${first.foreign?.kind}${first.foreign?.string ?? ''}`)
  }
  whenS.sort((a, b) => a - b)
  const when = [0.05, 0.5, 0.95].map((share) => whenS[Math.floor(share * whenS.length)]?.toFixed(2)).join(' ')
  console.log(
    `aimed ${name}, ${ids[0]}.., ${room}${learnt ? '' : ' unlearnt'}: told ${percent(repeats - told.none, repeats)}, octave above ${told['octave-above']}, another ${told.another}; by ratio ${JSON.stringify(perRatio)}; after ${when} s; at the end still ${still}; plucks ${plucks}, at the onset ${oneEach}; ${seen.slice(0, 8).join(' ')}`,
  )
}

/** Rooms without a string: whatever is told, or plucked, is not there. */
export function aimedIdle(ids: readonly string[], room: string, learnt: boolean, seed: number, repeats: number): void {
  const set = roomStrings(ids)
  let [words, plucks] = [0, 0]
  for (let n = 0; n < repeats; n++) {
    const all = Float32Array.from(roomNoise(room, 8, rateHz, seed, 'aimed', n), (value) => 0.01 * value)
    const noise = learnt ? noiseFigures(all.subarray(0, 5 * rateHz), rateHz, set) : null
    const aimedAt = set[n % set.length] ?? set[0]
    const heard = heardIn(all.subarray(5 * rateHz), (watching) => new AimedWatch(rateHz, aimedAt, set, noise, watching))
    if (heard.words.length > 0) words++
    plucks += heard.plucks.length
  }
  console.log(
    `aimed idle, ${ids[0]}.., ${room}${learnt ? '' : ' unlearnt'}: told in ${percent(words, repeats)} takes of 3 s; plucks ${plucks}`,
  )
}

const about = (uniform: number): number => 60 * (uniform - 0.5)
const rooms = ['white', 'pink', 'stage'] as const

export const aimedCases = (seed: number, repeats: number): Readonly<Record<string, () => void>> => {
  const kinds = {
    right: { cents: about },
    middle: { cents: about, pluck: { pickRatio: 0.5 } },
    third: { cents: about, pluck: { pickRatio: 1 / 3 } },
    uneven: { cents: about, pluck: { levelScatterDb: 6, firstPartialLevelDb: -25 } },
    far: { cents: (uniform: number) => (uniform < 0.5 ? -1 : 1) * (200 + 400 * Math.abs(uniform - 0.5)) },
    above: { cents: (uniform: number) => 1200 + about(uniform) },
    below: { cents: (uniform: number) => about(uniform) - 1200 },
  }
  return Object.fromEntries(
    [guitar, bass].flatMap((ids) =>
      rooms.flatMap((room) => [
        ...Object.entries(kinds).flatMap(([name, kind]) =>
          [true, false].map((learnt): [string, () => void] => [
            `aimed${learnt ? '' : '-unlearnt'} ${name} ${ids[0]} ${room}`,
            () => aimed({ ids, room, learnt, name, ...kind }, seed, repeats),
          ]),
        ),
        ...[true, false].map((learnt): [string, () => void] => [
          `aimed${learnt ? '' : '-unlearnt'} idle ${ids[0]} ${room}`,
          () => aimedIdle(ids, room, learnt, seed, repeats),
        ]),
      ]),
    ),
  )
}
