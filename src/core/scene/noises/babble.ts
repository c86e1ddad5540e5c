/**
 * Babble: noise with the long-term spectrum of speech and the slow beat of syllables.
 *
 * Third-octave levels "combined" of Byrne et al. 1994 (JASA 96:2108-2120, Table II; power sum 70.03 dB, A-weighted 65.95 dB).
 * Each talker's loudness is the square of low-passed Gaussian noise, about `syllablesHz` wide (speech is modulated most at
 * 3 to 4 Hz: Houtgast & Steeneken 1985, JASA 77:1069-1077, from memory); n talkers together swing by sqrt(2 / n) of their
 * power. The beat blurs the bands below 100 Hz: by under 0.5 dB, by 1.2 dB for a lone talker at 10 syllables a second. No voice
 * has a pitch here: a lone talker sounds like surf, not like words.
 */
import { exp, ln, pow } from '../../maths/portable.ts'
import { colouringTaps, fillColoured, responseOf } from './colour.ts'
import { noise } from './noise.ts'
import { swell } from './swell.ts'

/** Centre of the first band is 1000 * 10^(-12/10) = 63 Hz, then every third octave (IEC 61260-1) up to 16 kHz. */
const lowestBand = -12
/** dB. Byrne et al. 1994, Table II, combined. */
export const speechLevelsDb = [
  38.6, 43.5, 54.4, 57.7, 56.8, 60.2, 60.3, 59.0, 62.1, 62.1, 60.5, 56.8, 53.7, 53.0, 52.0, 48.7, 48.1, 46.8, 45.6,
  44.5, 44.3, 43.7, 43.4, 41.3, 40.7,
]

/** Edges of band `index`, Hz: a twentieth of a decade to either side of its centre. */
export const bandEdgesHz = (index: number): [number, number] => [
  1000 * pow(10, (lowestBand + index) / 10 - 0.05),
  1000 * pow(10, (lowestBand + index) / 10 + 0.05),
]

/** Where the table ends the density goes on falling by this much an octave, faster than speech does anywhere inside it. */
const outsideDbPerOctave = 12
/** White noise this far under the whole: no frequency is so quiet that a string there could be measured without limit. */
const floorDb = -55
/** Shortest filter that tells the 63 Hz band, 14.5 Hz wide, from its neighbours. */
const filterS = 1 / 6
/** Each round takes away more than half of the error, down to what bins half a band wide can tell: 0.1 dB. */
const rounds = 5

const tapsAtRate = new Map<number, Float64Array>()

/** The filter that gives white noise the speech spectrum; made once for each rate. */
export function speechTaps(sampleRateHz: number): Float64Array {
  const known = tapsAtRate.get(sampleRateHz)
  if (known !== undefined) return known
  const made = makeTaps(sampleRateHz)
  tapsAtRate.set(sampleRateHz, made)
  return made
}

function makeTaps(sampleRateHz: number): Float64Array {
  let size = 2
  while (size < filterS * sampleRateHz) size *= 2
  const binHz = sampleRateHz / size
  const logHz = Float64Array.from({ length: size / 2 + 1 }, (_, bin) => ln(Math.max(bin, 0.5) * binHz))
  const wanted = speechLevelsDb.map((level) => pow(10, level / 10))
  const total = wanted.reduce((sum, power) => sum + power, 0)
  const floor = (total * pow(10, floorDb / 10)) / (sampleRateHz / 2)
  const edges = wanted.map((_, index) => bandEdgesHz(index))
  // Density at the middle of each band; a straight line joins their logarithms.
  const nodes = wanted.map((power, index) => power / (edges[index][1] - edges[index][0]))
  let taps: Float64Array = new Float64Array(size)
  for (let round = 0; round < rounds; round++) {
    const shape = interpolated(nodes, logHz)
    taps = colouringTaps(shape.map((density) => density + floor))
    const response = responseOf(taps)
    for (const [index, power] of wanted.entries()) {
      // A band that the rate cuts off keeps its first guess.
      if (edges[index][1] < sampleRateHz / 2) nodes[index] *= power / bandPower(response, binHz, edges[index])
    }
  }
  return taps
}

/** Density on bins at `logHz`, straight lines between the logarithms at band centres. */
function interpolated(nodes: readonly number[], logHz: Float64Array): Float64Array {
  const logs = nodes.map(ln)
  const first = ln(1000) + (lowestBand / 10) * Math.LN10
  const step = Math.LN10 / 10
  const fall = ((outsideDbPerOctave / 10) * Math.LN10) / Math.LN2
  const last = logs.length - 1
  return logHz.map((x) => {
    const place = (x - first) / step
    if (place <= 0) return exp(logs[0] + fall * (x - first))
    if (place >= last) return exp(logs[last] - fall * (x - first - last * step))
    const below = Math.floor(place)
    return exp(logs[below] + (place - below) * (logs[below + 1] - logs[below]))
  })
}

/** Power between two frequencies; each bin speaks for half a bin to either side. */
function bandPower(density: Float64Array, binHz: number, [lowHz, highHz]: readonly [number, number]): number {
  let sum = 0
  for (let bin = Math.floor(lowHz / binHz); bin <= Math.ceil(highHz / binHz) && bin < density.length; bin++) {
    const from = Math.max(lowHz, (bin - 0.5) * binHz)
    const to = Math.min(highHz, (bin + 0.5) * binHz)
    sum += Math.max(0, to - from) * density[bin]
  }
  return sum
}

export const babble = noise({
  id: 'babble',
  title: 'Babble: many people talking at once',
  source: 'Byrne et al. 1994, JASA 96:2108-2120, Table II (combined); loudness of talkers own model',
  fields: {
    talkers: { default: 8, min: 1, max: 64, unit: 'count', whole: true, help: 'How many people talk.' },
    syllablesHz: { default: 4, min: 1, max: 10, unit: 'Hz', help: 'How fast their loudness moves.' },
  },
  fill(target, { sampleRateHz, random, values }) {
    fillColoured(target, speechTaps(sampleRateHz), random.fork('voice'))
    swell(target, sampleRateHz, values.talkers, values.syllablesHz, random.fork('syllables'))
  },
})
