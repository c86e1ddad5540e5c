/**
 * The room figures on rendered takes, case by case: how often noise gives a line, how far ratios, onset, pitch and stiffness
 * are off, how often the finder calls what. Bundle and run as room.md says: `node room.mjs SEED REPEATS [CASE ...]`.
 */
import { randomStream } from '../../src/core/maths/random.ts'
import { quantile } from '../../src/core/maths/statistics.ts'
import { centsBetween } from '../../src/core/maths/units.ts'
import { clockFigures } from '../../src/core/room/clockrate.ts'
import { steadyToneWords } from '../../src/core/room/inputwords.ts'
import { noiseFigures } from '../../src/core/room/noisetake.ts'
import { ringingStrings } from '../../src/core/room/ringing.ts'
import { steadyLines } from '../../src/core/room/steadylines.ts'
import { steadyToneFigures } from '../../src/core/room/steadytone.ts'
import { findString, StringFinder } from '../../src/core/room/stringfinder.ts'
import { stringFigures } from '../../src/core/room/stringtake.ts'
import { toneTrack } from '../../src/core/room/tonetrack.ts'
import { stringVerdict } from '../../src/core/room/verdict.ts'
import { bass, guitar, makeTake, roomNoise, roomStrings } from '../unit/roomtakes.ts'
import { aimedCases } from './aimed.ts'

const rateHz = 48000
const [seedText = '1', repeatsText = '20', ...wanted] = process.argv.slice(2)
const seed = Number(seedText)
const repeats = Number(repeatsText)
const strings = roomStrings(guitar)

const noiseOf = (room: string, seconds: number, ...names: (string | number)[]): Float32Array =>
  Float32Array.from(roomNoise(room, seconds, rateHz, seed, ...names), (value) => 0.01 * value)

function falseLines(room: string, takeS: number): void {
  let takes = 0
  const seen: string[] = []
  for (let n = 0; n < repeats; n++) {
    const lines = steadyLines(noiseOf(room, takeS, n), rateHz, strings)
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
    const noise = noiseOf('pink', takeS, 'hum', overDb, n)
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

const spread = (values: readonly number[], digits = 2): string =>
  [0.05, 0.5, 0.95].map((share) => quantile(values, share).toFixed(digits)).join(' ')

function takes(room: string, snrDb: number): void {
  const off = { ratio: [] as number[], onsetMs: [] as number[], f1: [] as number[], stiffness: [] as number[] }
  const moments = [[], [], [], []] as number[][]
  const decays: number[] = []
  const none = { onset: 0, f1: 0, stiffness: 0, ratio: 0, decay: 0 }
  const standing: Record<string, number> = {}
  const ringing: string[] = []
  let all = 0
  for (const id of guitar) {
    for (let n = 0; n < Math.ceil(repeats / 6); n++) {
      all++
      const random = randomStream(seed, 'off', id, room, snrDb, n)
      const cents = 100 * (random.uniform() - 0.5)
      const made = makeTake({ string: id, room, snrDb, cents, seed, repeat: n })
      const string = strings.find((one) => one.id === id) ?? strings[0]
      const noise = noiseFigures(made.noise, rateHz, strings)
      const figures = stringFigures(made.samples, rateHz, { ...string, stiffness: 0 }, noise)
      if (figures.onsetS === null) none.onset++
      else off.onsetMs.push(1000 * (figures.onsetS - made.onsetS))
      if (figures.f1Hz === null) none.f1++
      else off.f1.push(centsBetween(figures.f1Hz, made.f1Hz))
      if (figures.stiffness === null) none.stiffness++
      else if (made.stiffness >= 3e-5) off.stiffness.push(figures.stiffness / made.stiffness - 1)
      if (figures.ratioDb === null) none.ratio++
      else off.ratio.push(figures.ratioDb - snrDb)
      const first = made.partials.find(({ k }) => k === 1)
      if (figures.decayS === null || first === undefined) none.decay++
      else decays.push(figures.decayS / (6.9078 / first.decayPerS))
      for (const [i, atS] of [0.2, 0.5, 1, 2].entries()) {
        const told = figures.ratioAtDb[i]
        const [from, to] = [made.onsetS + atS - 0.05, made.onsetS + atS + 0.05].map((s) => Math.round(s * rateHz))
        const part = made.clean.subarray(from, to)
        const power = part.reduce((sum, value) => sum + value * value, 0) / part.length
        const noisePower = made.noise.reduce((sum, value) => sum + value * value, 0) / made.noise.length
        if (told !== null && told !== undefined) moments[i]?.push(told - 10 * Math.log10(power / noisePower))
      }
      for (const partial of figures.partials) standing[partial.standing] = (standing[partial.standing] ?? 0) + 1
      ringing.push(...figures.ringing.map((one) => `${id}: ${one.string} ${one.when} ${one.overStringDb.toFixed(0)}`))
    }
  }
  console.log(`${room} ${snrDb} dB, n ${all}. none: ${JSON.stringify(none)}`)
  console.log(
    `  ratio off ${spread(off.ratio)} dB; at moments ${moments.map((m) => `${spread(m)} (${m.length})`).join(' | ')}`,
  )
  console.log(`  onset off ${spread(off.onsetMs)} ms, over 10: ${off.onsetMs.filter((ms) => Math.abs(ms) > 10).length}`)
  console.log(`  f1 off ${spread(off.f1)} c, over 1: ${off.f1.filter((c) => Math.abs(c) > 1).length}`)
  console.log(
    `  stiffness off ${spread(off.stiffness)}, over 0.2: ${off.stiffness.filter((o) => Math.abs(o) > 0.2).length}`,
  )
  console.log(
    `  decay over true ${spread(decays)}; ${JSON.stringify(standing)}; ringing ${ringing.length} ${ringing.slice(0, 5).join(', ')}`,
  )
}

/** Every string of a set, off by up to 150 c, at 0 to 20 dB; a quarter of the plucks each at 0, 7, 13, 20. */
function finds(ids: readonly string[], room: string, learnt: boolean): void {
  const set = roomStrings(ids)
  let [right, none, wrong, live, liveWrong] = [0, 0, 0, 0, 0]
  const perRatio: Record<number, number> = { 0: 0, 7: 0, 13: 0, 20: 0 }
  const off: number[] = []
  const mistakes: string[] = []
  let all = 0
  for (let n = 0; n < repeats; n++) {
    const id = ids[n % ids.length] ?? ''
    const snrDb = [0, 7, 13, 20][Math.floor(n / ids.length) % 4] ?? 0
    const cents = 300 * (randomStream(seed, 'find', id, room, n).uniform() - 0.5)
    const made = makeTake({ string: id, room, snrDb, cents, seed, repeat: n, takeS: 2 })
    const noise = learnt ? noiseFigures(made.noise, rateHz, set) : null
    const found = findString(made.samples, rateHz, set, noise)
    new StringFinder(rateHz, set, noise).push(made.samples, (reading) => {
      if (reading.id === null) return
      if (reading.id === id) live++
      else {
        liveWrong++
        mistakes.push(`${reading.atS.toFixed(2)} s: ${id}@${snrDb}->${reading.id}`)
      }
    })
    const string = set.find((one) => one.id === id)
    all++
    const centsOff = found.cents - centsBetween(made.f1Hz, string?.targetHz ?? Number.NaN)
    if (found.id === null) none++
    else if (found.id === id && Math.abs(centsOff) < 20) {
      right++
      perRatio[snrDb] = (perRatio[snrDb] ?? 0) + 1
      off.push(centsOff)
    } else {
      wrong++
      mistakes.push(`${id}${cents.toFixed(0)}@${snrDb}->${found.id}${found.cents.toFixed(0)}`)
    }
  }
  console.log(
    `find ${ids[0]}.. in ${room}${learnt ? '' : ' unlearnt'}: n ${all}, right ${right} ${JSON.stringify(perRatio)}, no call ${none}, wrong ${wrong}, live calls ${live}, wrong ${liveWrong} ${mistakes.slice(0, 6).join(' ')}; cents off ${spread(off)}`,
  )
}

function silentRooms(ids: readonly string[], room: string, learnt: boolean): void {
  const set = roomStrings(ids)
  let calls = 0
  const seen: string[] = []
  for (let n = 0; n < repeats; n++) {
    const all = noiseOf(room, 8, 'idle', n)
    const noise = learnt ? noiseFigures(all.subarray(0, 5 * rateHz), rateHz, set) : null
    const found = findString(all.subarray(5 * rateHz), rateHz, set, noise)
    if (found.id === null) continue
    calls++
    seen.push(`${found.id}${found.cents.toFixed(0)}`)
  }
  console.log(
    `no string, ${ids[0]}.. in ${room}${learnt ? '' : ' unlearnt'}: calls in ${calls} of ${repeats} takes of 3 s ${seen.slice(0, 6).join(' ')}`,
  )
}

/** Octaves and frets that are no string of the set: whatever is called is wrong. */
function between(ids: readonly string[], room: string): void {
  const set = roomStrings(ids)
  let [all, calls] = [0, 0]
  const seen: string[] = []
  for (let n = 0; n < repeats; n++) {
    const id = ids[n % ids.length] ?? ''
    const random = randomStream(seed, 'between', id, room, n)
    const pitch = set.find((one) => one.id === id)?.targetHz ?? 0
    const cents =
      [1200, -1200, 200 + 100 * random.uniform(), -200 - 100 * random.uniform()][Math.floor(n / ids.length) % 4] ?? 0
    const isString = set.some(({ targetHz }) => Math.abs(centsBetween(pitch * 2 ** (cents / 1200), targetHz)) < 170)
    if (isString) continue
    const made = makeTake({ string: id, room, snrDb: 20 * random.uniform(), cents, seed, repeat: n, takeS: 2 })
    all++
    const found = findString(made.samples, rateHz, set, noiseFigures(made.noise, rateHz, set))
    if (found.id === null) continue
    calls++
    seen.push(`${id}${cents.toFixed(0)}->${found.id}${found.cents.toFixed(0)}`)
  }
  console.log(
    `no string of ${ids[0]}.., octaves and frets, in ${room}: n ${all}, calls ${calls} ${seen.slice(0, 6).join(' ')}`,
  )
}

/** The guide asks for a string: how often is its octave, up or down, taken for it, and how often is it itself taken for one? */
function octaves(room: string, snrDb: number): void {
  const kept: Record<string, number> = { 1200: 0, '-1200': 0 }
  let [asOctave, unheard] = [0, 0]
  const seen: string[] = []
  for (let n = 0; n < repeats; n++) {
    const id = guitar[n % guitar.length] ?? ''
    const asked = strings.find((one) => one.id === id) ?? strings[0]
    for (const cents of [0, 1200, -1200]) {
      const made = makeTake({ string: id, room, snrDb, cents, seed, repeat: n, takeS: 3.5 })
      const noise = noiseFigures(made.noise, rateHz, strings)
      const { kind } = stringVerdict(asked, stringFigures(made.samples, rateHz, asked, noise), noise)
      const { id: found } = findString(made.samples, rateHz, strings, noise)
      const refused = (found !== null && found !== id) || kind === 'octave' || kind === 'not-heard'
      if (cents === 0 && kind === 'octave') asOctave++
      if (cents === 0 && kind === 'not-heard') unheard++
      if (cents === 0 || refused) continue
      kept[cents] = (kept[cents] ?? 0) + 1
      seen.push(`${id}${cents}:${kind}`)
    }
  }
  console.log(
    `octaves asked for in ${room} ${snrDb}: n ${repeats} each; taken for the string: up ${kept[1200]}, down ${kept[-1200]} ${seen.slice(0, 8).join(' ')}; the string itself taken for an octave ${asOctave}, not heard ${unheard}`,
  )
}

/** Plain tones in rooms: how often the input is accused, how often it cannot be told. Intervals of the clock that hold the truth. */
function inputTones(room: string, overDb: number): void {
  const told = { plain: 0, untold: 0, altered: 0, none: 0 }
  const why: string[] = []
  let [clocks, held] = [0, 0]
  for (let n = 0; n < repeats; n++) {
    const samples = noiseOf(room, 18, 'tone', overDb, n)
    const random = randomStream(seed, 'tone', room, overDb, n)
    const hz = 300 + 1500 * random.uniform()
    const ppm = 200 * (random.uniform() - 0.5)
    const step = (2 * Math.PI * hz) / (1 + ppm / 1e6) / rateHz
    const amplitude = 0.01 * Math.sqrt(2) * 10 ** (overDb / 20)
    for (let i = 3 * rateHz; i < samples.length; i++) samples[i] += amplitude * Math.sin(step * i)
    const track = toneTrack(samples, rateHz, hz)
    if (track === null) {
      told.none++
      continue
    }
    const figures = steadyToneFigures(track, false)
    told[figures.verdict]++
    if (figures.verdict === 'altered') why.push(steadyToneWords(figures, false).sentence)
    const clock = clockFigures(track, hz, 0)
    if (clock === null) continue
    clocks++
    if (clock.lowPpm <= ppm && ppm <= clock.highPpm) held++
  }
  console.log(
    `input tone ${overDb} dB over ${room}: n ${repeats}, ${JSON.stringify(told)}; clock told ${clocks}, interval holds ${held} ${why.slice(0, 4).join(' | ')}`,
  )
}

/** Strings told as ringing where none does: a second of the room alone, a take's lead of half a second alone. */
function falseRinging(room: string): void {
  const told = [0, 0]
  for (let n = 0; n < repeats; n++) {
    const all = noiseOf(room, 7, 'ringing', n)
    const noise = noiseFigures(all.subarray(0, 5 * rateHz), rateHz, strings)
    for (const [i, toS] of [5.5, 6].entries()) {
      const span = { when: 'before' as const, from: 5 * rateHz, to: toS * rateHz }
      if (ringingStrings(all, rateHz, span, noise, strings, null, 1).length > 0) told[i] = (told[i] ?? 0) + 1
    }
  }
  console.log(
    `ringing in ${room} without strings: ${told[0]} of ${repeats} half seconds, ${told[1]} of ${repeats} seconds`,
  )
}

const findCases = Object.fromEntries(
  ['white', 'pink', 'stage', 'encore', 'babble'].flatMap((room) =>
    [guitar, bass].flatMap((ids) => [
      [`find ${ids[0]} ${room}`, () => finds(ids, room, true)],
      [`find-unlearnt ${ids[0]} ${room}`, () => finds(ids, room, false)],
      [`between ${ids[0]} ${room}`, () => between(ids, room)],
      [`idle ${ids[0]} ${room}`, () => silentRooms(ids, room, true)],
      [`idle-unlearnt ${ids[0]} ${room}`, () => silentRooms(ids, room, false)],
    ]),
  ),
)

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
  'take white 20': () => takes('white', 20),
  'take white 10': () => takes('white', 10),
  'take white 0': () => takes('white', 0),
  'take pink 20': () => takes('pink', 20),
  'take pink 0': () => takes('pink', 0),
  'take hum 10': () => takes('hum', 10),
  'take stage 20': () => takes('stage', 20),
  'take stage 0': () => takes('stage', 0),
  ...findCases,
  ...aimedCases(seed, repeats),
  'ringing white': () => falseRinging('white'),
  'ringing pink': () => falseRinging('pink'),
  'ringing stage': () => falseRinging('stage'),
  'octave pink 15': () => octaves('pink', 15),
  'octave stage 15': () => octaves('stage', 15),
  'octave stage 5': () => octaves('stage', 5),
  'input pink 10': () => inputTones('pink', 10),
  'input stage 20': () => inputTones('stage', 20),
  'input stage 0': () => inputTones('stage', 0),
}
for (const [name, run] of Object.entries(cases)) {
  if (wanted.length === 0 || wanted.some((word) => name.startsWith(word))) run()
}
