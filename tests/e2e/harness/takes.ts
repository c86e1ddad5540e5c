/** Keeps room takes through the page's own store, on demand of a test. Samples are made of a seed: both sides know them. */
import { keptHeads, openKept } from '../../../src/app/room/keeptakes.ts'
import { addPart, beginTake, startTakes, takeById, useTakes } from '../../../src/app/room/takes.ts'
import { randomStream } from '../../../src/core/maths/random.ts'

const sampleRateHz = 48_000

function seeded(seed: number, count: number): Float32Array {
  const target = new Float64Array(count)
  randomStream(seed, 'take').fillGaussian(target)
  return Float32Array.from(target)
}

/** A take with a part of noise and `plucks` plucks of `seconds`; answers how each writing went. */
async function keepTake(plucks: number, seconds: number) {
  const { id } = beginTake({
    title: 'Ring side',
    sampleRateHz,
    instrument: 'clowns-bass',
    path: 'pickup',
    processed: 'no',
    madeUp: true,
    version: 'test',
  })
  const none = { startSample: 0, lostSamples: 0, overloaded: false }
  const noise = { ...none, name: 'noise', kind: 'noise', string: null, targetHz: null } as const
  const answers = [await addPart(id, noise, seeded(0, seconds * sampleRateHz))]
  for (let at = 1; at <= plucks; at++) {
    const pluck = { ...none, name: `pluck-${at}`, kind: 'pluck', string: `S${at}`, targetHz: 41.2 * at } as const
    answers.push(await addPart(id, pluck, seeded(at, seconds * sampleRateHz)))
  }
  return { id, answers, unkept: useTakes.getState().unkept }
}

const same = (a: Float32Array | undefined, b: Float32Array): boolean =>
  a !== undefined && a.length === b.length && a.every((value, i) => value === b[i])

/** Names of the parts that are there bit for bit, from memory or (`kept`) from the disk alone. */
async function wholeParts(id: string, kept: boolean): Promise<string[]> {
  await startTakes()
  const take = kept ? await openKept(id) : await takeById(id)
  if (take === null) return []
  return take.head.parts.flatMap(({ name, samples }, at) =>
    same(take.samples.get(name), seeded(at, samples)) ? [name] : [],
  )
}

export const takes = {
  keepTake,
  wholeParts,
  async keptIds(): Promise<string[]> {
    return (await keptHeads()).map(({ id }) => id)
  },
}
