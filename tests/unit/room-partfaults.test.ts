/** Faults that the samples of a part show by themselves; what is right was worked by hand. */
import { expect, it } from 'vitest'
import { randomStream } from '../../src/core/maths/random.ts'
import { partFaults } from '../../src/core/room/partfaults.ts'

const rateHz = 48_000

/** A second of noise at -66 dB of full scale and of -100 dB, in steps of 16 bits as most converters give them. */
function noise(rms = 5e-4): Float32Array {
  const target = new Float64Array(rateHz)
  randomStream(1, 'faults').fillGaussian(target)
  return Float32Array.from(target, (value) => Math.round(value * rms * 32_768) / 32_768)
}

it('finds nothing in sound, loud or so soft that it moves by a step now and then', () => {
  const fine = { overloaded: false, silent: false, holeSamples: 0 }
  expect(partFaults(noise(), rateHz)).toEqual(fine)
  expect(partFaults(noise(1e-5), rateHz)).toEqual(fine)
})

it('finds no hole at the crest of hum two steps of 16 bits high', () => {
  const hum = Float32Array.from(
    { length: rateHz },
    (_, i) => Math.round(2 * Math.sin((2 * Math.PI * 50 * i) / rateHz)) / 32_768,
  )
  expect(partFaults(hum, rateHz).holeSamples).toBe(0)
})

it('counts a hole of 20 ms whatever the value it stands at, and leaves out one of 10 ms', () => {
  for (const value of [0, 0.01]) {
    const samples = noise()
    samples.fill(value, 10_000, 10_960)
    expect(partFaults(samples, rateHz)).toEqual({ overloaded: false, silent: false, holeSamples: 960 })
  }
  const short = noise()
  short.fill(0, 10_000, 10_480)
  expect(partFaults(short, rateHz).holeSamples).toBe(0)
})

it('takes a cut crest for an overload and no hole, and a part of one value for silence', () => {
  const clipped = noise()
  clipped.fill(-1, 10_000, 10_960)
  expect(partFaults(clipped, rateHz)).toEqual({ overloaded: true, silent: false, holeSamples: 0 })
  expect(partFaults(new Float32Array(rateHz), rateHz)).toEqual({
    overloaded: false,
    silent: true,
    holeSamples: rateHz,
  })
})
