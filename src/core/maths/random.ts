/**
 * Seeded random streams that are told apart by names, not by the order in which they are drawn.
 *
 * The seed and the names are hashed to the 128-bit state of a xoroshiro128+ generator (Blackman & Vigna 2021, ACM TOMS
 * 47:36). Normal deviates by the ziggurat (Marsaglia & Tsang 2000, J. Stat. Softw. 5(8)), layer and value from separate
 * words (Doornik 2005 on why one word is not enough). Everything is integer arithmetic, + - * / and portable functions:
 * the same numbers in every engine. Not for secrets.
 */
import { xoroshiro128plusFromState } from 'pure-rand/generator/xoroshiro128plus'
import type { RandomGenerator } from 'pure-rand/types/RandomGenerator'
import { ln } from './portable.ts'
import { bell, layerCount, tailStart, zigguratTables } from './ziggurat.ts'

export interface Random {
  /** In [0, 1), all 53 bits. */
  uniform(): number
  /** Mean 0, variance 1. */
  gaussian(): number
  /** A whole number in [0, n), n up to 2^53. */
  whole(n: number): number
  /** The same numbers as that many calls of `gaussian`. Does not allocate. */
  fillGaussian(target: Float64Array | Float32Array): void
  /** The stream of this one's names followed by `names`; what has been drawn so far makes no difference. */
  fork(...names: (string | number)[]): Random
}

/** The stream of `seed` and `names`. 1 and '1' are different names, and so are ('ab') and ('a', 'b'). */
export const randomStream = (seed: number, ...names: (string | number)[]): Random =>
  new Stream(withNames(startKey, [seed, ...names]))

/** 0 to `count` - 1 in random order (Fisher & Yates as in Durstenfeld 1964, Commun. ACM 7:420). */
export function inRandomOrder(count: number, random: Random): number[] {
  const order = Array.from({ length: count }, (_, at) => at)
  for (let at = count - 1; at > 0; at--) {
    const other = random.whole(at + 1)
    const kept = order[at]
    order[at] = order[other]
    order[other] = kept
  }
  return order
}

const { edge, height } = zigguratTables()

// A 32-bit signed word w lands in layer i at (w + 1/2) * step[i]: symmetric about 0, never 0.
const step = edge.map((x) => x / 2 ** 31)
// Fraction of layer i that lies under the curve whatever the height: the next edge over its own.
const inner = edge.map((x, i) => (i < layerCount ? edge[i + 1] / x : 0) * 2 ** 31)

class Stream implements Random {
  readonly #key: Key
  readonly #generator: RandomGenerator

  constructor(key: Key) {
    this.#key = key
    this.#generator = xoroshiro128plusFromState(stateOf(key))
  }

  uniform(): number {
    return uniform(this.#generator)
  }

  gaussian(): number {
    return gaussian(this.#generator)
  }

  whole(n: number): number {
    return Math.floor(uniform(this.#generator) * n)
  }

  fillGaussian(target: Float64Array | Float32Array): void {
    const generator = this.#generator
    for (let i = 0; i < target.length; i++) target[i] = gaussian(generator)
  }

  fork(...names: (string | number)[]): Random {
    return new Stream(withNames(this.#key, names))
  }
}

function uniform(generator: RandomGenerator): number {
  // The low bits of xoroshiro128+ are its weakest: 27 and 26 bits from the top of two words.
  const high = generator.next() >>> 5
  const low = generator.next() >>> 6
  return (high * 2 ** 26 + low) * 2 ** -53
}

function gaussian(generator: RandomGenerator): number {
  for (;;) {
    const layer = generator.next() >>> 24
    const word = generator.next() + 0.5
    const x = word * step[layer]
    if (Math.abs(word) < inner[layer]) return x
    if (layer === 0) return word < 0 ? -tail(generator) : tail(generator)
    const y = height[layer] + uniform(generator) * (height[layer + 1] - height[layer])
    if (y < bell(x)) return x
  }
}

/** Beyond the last edge (Marsaglia 1964, Technometrics 6:101-102). */
function tail(generator: RandomGenerator): number {
  for (;;) {
    const x = -ln(1 - uniform(generator)) / tailStart
    const y = -ln(1 - uniform(generator))
    if (y + y >= x * x) return tailStart + x
  }
}

/** Four 32-bit hashes of the same words, started apart. */
type Key = readonly [number, number, number, number]

// Four unrelated odd words (fractional parts of the square roots of 2, 3, 5, 7 as used in SHA-256, FIPS 180-4, made odd).
const startKey: Key = [0x6a09e667, 0xbb67ae85, 0x3c6ef373, 0xa54ff53b]

function withNames(key: Key, names: readonly (string | number)[]): Key {
  const lanes: [number, number, number, number] = [...key]
  const absorb = (word: number): void => {
    for (let i = 0; i < 4; i++) lanes[i] = mixed(lanes[i] ^ word)
  }
  for (const name of names) {
    if (typeof name === 'string') {
      // Kind and length first, so that no two lists of names give the same words.
      absorb(1)
      absorb(name.length)
      for (let i = 0; i < name.length; i++) absorb(name.charCodeAt(i))
    } else {
      const view = new DataView(new ArrayBuffer(8))
      // + 0 makes -0 the same as 0.
      view.setFloat64(0, name + 0)
      absorb(2)
      absorb(view.getInt32(0))
      absorb(view.getInt32(4))
    }
  }
  return lanes
}

/** A last stir over all lanes; never all zero, which the generator cannot leave. */
function stateOf([a, b, c, d]: Key): Key {
  const sum = mixed(a ^ mixed(b ^ mixed(c ^ mixed(d))))
  return [mixed(a + sum), mixed(b + sum), mixed(c + sum), mixed(d + sum) | 1]
}

/** The 32-bit finaliser of MurmurHash3 (Appleby, public domain) with an offset, so that 0 does not stay 0. */
function mixed(word: number): number {
  let h = (word + 0x9e3779b9) | 0
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b)
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35)
  return h ^ (h >>> 16)
}
