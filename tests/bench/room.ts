/**
 * The room figures on rendered takes, case by case: how often noise gives a line, how far ratios, onset, pitch and stiffness
 * are off, how often the finder calls what. Bundle and run as room.md says: `node room.mjs SEED REPEATS [CASE ...]`.
 */
import { randomStream } from '../../src/core/maths/random.ts'
import { noiseFigures } from '../../src/core/room/noisetake.ts'
import type { RoomString } from '../../src/core/room/roomstring.ts'
import { steadyLines } from '../../src/core/room/steadylines.ts'
import { fillParts } from '../../src/core/scene/room.ts'
import type { RoomPart } from '../../src/core/scene/scene.ts'
import { roomById, stringById } from '../../src/core/study/presets.ts'

const rateHz = 48000
const [seedText = '1', repeatsText = '20', ...wanted] = process.argv.slice(2)
const seed = Number(seedText)
const repeats = Number(repeatsText)

const guitar = ['E2', 'A2', 'D3', 'G3', 'B3', 'E4']
const strings = guitar.map((id): RoomString => {
  const { targetHz, pluck } = stringById(id)
  return { id, title: id, targetHz, stiffness: Number(pluck.stiffness ?? 0) }
})

const partsOf = (room: string): readonly RoomPart[] => roomById(room).parts

function noiseOf(parts: readonly RoomPart[], seconds: number, ...names: (string | number)[]): Float32Array {
  const target = new Float64Array(Math.round(seconds * rateHz))
  const random = randomStream(seed, ...names)
  const where = parts.map(() => '')
  fillParts(target, parts, { sampleRateHz: rateHz, random, pluck: null, onsetS: 0, recordings: new Map(), where })
  let squares = 0
  for (const value of target) squares += value * value
  const gain = 0.01 / Math.sqrt(squares / target.length)
  return Float32Array.from(target, (value) => gain * value)
}

function falseLines(room: string, takeS: number): void {
  let takes = 0
  const seen: string[] = []
  for (let n = 0; n < repeats; n++) {
    const lines = steadyLines(noiseOf(partsOf(room), takeS, room, n), rateHz, strings)
    if (lines.length > 0) takes++
    seen.push(...lines.map(({ hz, overFloorDb }) => `${hz.toFixed(2)}@${overFloorDb.toFixed(0)}`))
  }
  console.log(`lines in ${room}, ${takeS} s: ${takes} of ${repeats} takes; ${seen.slice(0, 8).join(' ')}`)
}

function hum(overDb: number, takeS: number): void {
  const off: number[] = []
  let found = 0
  let others = 0
  for (let n = 0; n < repeats; n++) {
    const noise = noiseOf(partsOf('pink'), takeS, 'hum', overDb, n)
    const random = randomStream(seed, 'tone', overDb, n)
    const hz = 90 + 600 * random.uniform()
    const phase = 2 * Math.PI * random.uniform()
    const { spectrum } = noiseFigures(noise, rateHz, [])
    const density = spectrum.density[Math.round(hz / spectrum.binHz)]
    const amplitude = Math.sqrt(2 * density * 10 ** (overDb / 10))
    for (let i = 0; i < noise.length; i++) noise[i] += amplitude * Math.sin((2 * Math.PI * hz * i) / rateHz + phase)
    for (const line of steadyLines(noise, rateHz, strings)) {
      if (Math.abs(line.hz - hz) < 1) {
        found++
        off.push(line.hz - hz)
      } else others++
    }
  }
  const worst = off.reduce((most, value) => Math.max(most, Math.abs(value)), 0)
  const rms = Math.sqrt(off.reduce((sum, value) => sum + value * value, 0) / off.length)
  console.log(
    `tone ${overDb} dB over 1 Hz, ${takeS} s: found ${found}/${repeats}, others ${others}, off rms ${rms.toFixed(4)} worst ${worst.toFixed(4)} Hz`,
  )
}

const cases: Readonly<Record<string, () => void>> = {
  'lines white': () => falseLines('white', 5),
  'lines pink': () => falseLines('pink', 5),
  'lines crowd': () => falseLines('encore', 5),
  'lines stage': () => falseLines('stage', 5),
  'lines babble': () => falseLines('babble', 5),
  'lines stage 10': () => falseLines('stage', 10),
  'lines wings': () => falseLines('front-acoustic', 5),
  'tone 8': () => hum(8, 5),
  'tone 12': () => hum(12, 5),
  'tone 20': () => hum(20, 5),
  'tone 40': () => hum(40, 5),
}
for (const [name, run] of Object.entries(cases)) {
  if (wanted.length === 0 || wanted.some((word) => name.startsWith(word))) run()
}
