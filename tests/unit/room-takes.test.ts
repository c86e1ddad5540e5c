/** Takes of a browser that keeps no more: nothing is lost and nothing more is written, until a take is removed. */
import { beforeEach, describe, expect, it, vi } from 'vitest'
import type { Kept } from '../../src/app/room/keeptakes.ts'
import type { TakeHead } from '../../src/app/room/take.ts'
import { addPart, beginTake, importTake, removeTake, renameTake, takeById, useTakes } from '../../src/app/room/takes.ts'
import { zipOfTake } from '../../src/app/room/takezip.ts'

/** A disk with room for so many parts; what it holds, and every try to write. */
const disk = vi.hoisted(() => ({
  room: 0,
  answer: 'full' as Kept,
  tries: 0,
  heads: new Map<string, TakeHead>(),
  parts: new Set<string>(),
}))

vi.mock('../../src/app/room/keeptakes.ts', () => ({
  async keepPart(head: TakeHead, { name }: { name: string }): Promise<Kept> {
    disk.tries++
    const key = `${head.id} ${name}`
    if (!disk.parts.has(key) && disk.parts.size >= disk.room) return disk.answer
    disk.parts.add(key)
    disk.heads.set(head.id, head)
    return 'kept'
  },
  async keepHead(head: TakeHead): Promise<Kept> {
    disk.tries++
    disk.heads.set(head.id, head)
    return 'kept'
  },
  async dropTake(id: string): Promise<Kept> {
    disk.heads.delete(id)
    for (const key of disk.parts) if (key.startsWith(`${id} `)) disk.parts.delete(key)
    return 'kept'
  },
  openKept: async () => null,
  keptHeads: async () => [],
  bytesLeft: async () => Number.NaN,
}))

const titles = { title: 'Ring', sampleRateHz: 48_000, instrument: 'x', path: 'pickup', version: '0.1.0' } as const
const made = { ...titles, processed: 'no', madeUp: true } as const
const noise = {
  kind: 'noise',
  string: null,
  targetHz: null,
  startSample: 0,
  lostSamples: 0,
  overloaded: false,
} as const
const begin = (second: number): string => beginTake(made, new Date(Date.UTC(2026, 10, 30, 20, 0, second))).id
const add = (id: string, name: string): Promise<Kept> => addPart(id, { name, ...noise }, new Float32Array([0.5]))
/** No head on the disk names samples that are not there. */
const isWhole = (): boolean =>
  [...disk.heads].every(([id, { parts }]) => parts.every(({ name }) => disk.parts.has(`${id} ${name}`)))

beforeEach(() => {
  Object.assign(disk, { room: 2, answer: 'full', tries: 0 })
  disk.heads.clear()
  disk.parts.clear()
  useTakes.setState({ heads: [], unkept: [], kept: null })
})

describe('takes of a browser that keeps no more', () => {
  it.each(['full', 'refused'] as const)('are in memory, and nothing more is written: %s', async (answer) => {
    Object.assign(disk, { room: 1, answer })
    const id = begin(1)
    expect([await add(id, 'a'), await add(id, 'b')]).toEqual(['kept', answer])
    const { tries } = disk
    expect([await add(id, 'c'), await renameTake(id, { title: 'Tent' })]).toEqual([answer, answer])
    expect(disk.tries).toBe(tries)
    expect(useTakes.getState()).toMatchObject({ kept: answer, unkept: [id] })
    const take = await takeById(id)
    expect([take?.head.title, [...(take?.samples.keys() ?? [])]]).toEqual(['Tent', ['a', 'b', 'c']])
    expect(isWhole()).toBe(true)
  })

  it('stay stopped when a writing that was under way still finds room', async () => {
    disk.room = 1
    const id = begin(2)
    await Promise.all([add(id, 'a'), add(id, 'b')])
    expect(useTakes.getState()).toMatchObject({ kept: 'full', unkept: [id] })
  })

  it('are written once another is removed, as far as there is room', async () => {
    const [old, next] = [begin(3), begin(4)]
    for (const name of ['a', 'b']) await add(old, name)
    for (const name of ['a', 'b', 'c']) await add(next, name)
    expect(useTakes.getState()).toMatchObject({ kept: 'full', unkept: [next] })
    await removeTake(old)
    expect([[...disk.parts], isWhole()]).toEqual([[`${next} a`, `${next} b`], true])
    expect(useTakes.getState()).toMatchObject({ kept: 'full', unkept: [next] })
    disk.room = 3
    await removeTake(begin(5))
    expect(useTakes.getState()).toMatchObject({ kept: 'kept', unkept: [] })
    expect([disk.heads.get(next)?.parts.length, isWhole()]).toEqual([3, true])
  })

  it('from a file are no more written than others', async () => {
    disk.room = 0
    const id = begin(6)
    for (const name of ['a', 'b']) await add(id, name)
    expect(disk.tries).toBe(1)
    const take = await takeById(id)
    if (take === null) throw new Error('the take is gone')
    const head = await importTake(zipOfTake(take))
    expect([head.parts.length, disk.tries, useTakes.getState().unkept]).toEqual([2, 1, [id]])
  })
})
