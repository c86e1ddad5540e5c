/** The reading thread of the ring's test: reads in odd cuts and says whether the count was unbroken. */
import { parentPort, workerData } from 'node:worker_threads'
import { xoroshiro128plus } from 'pure-rand/generator/xoroshiro128plus'
import { RingReader } from '../../src/host/ring.ts'

const { memory, total, seed } = workerData as { memory: SharedArrayBuffer; total: number; seed: number }
const reader = new RingReader(memory)
const generator = xoroshiro128plus(seed + 1)
const around = new Float32Array(906)
let read = 0
let firstWrong = -1
let canaries = true
while (read < total) {
  around.fill(Number.NaN)
  const target = around.subarray(3, 3 + 1 + ((generator.next() >>> 0) % 900))
  const got = reader.read(target)
  for (let i = 0; i < got; i++) if (target[i] !== (read + i) % 2 ** 24 && firstWrong < 0) firstWrong = read + i
  canaries &&= around.subarray(0, 3).every(Number.isNaN) && around.subarray(3 + got).every(Number.isNaN)
  read += got
}
parentPort?.postMessage({ read, firstWrong, canaries, lostSamples: reader.lostSamples })
