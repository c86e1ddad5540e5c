/**
 * What strings.test.ts plays to the Room page: strings that are not asked for, octaves that are no string of the instrument, the
 * room alone, and every string in turn. Times are seconds from when the page opens the device.
 */
import { instrumentById } from '../../src/core/instruments/podium.ts'
import { instrumentStrings } from '../../src/core/study/instrumentstrings.ts'
import { type PlacedPluck, pluckedRoom } from './pluckedroom.ts'

export const strings = instrumentStrings(instrumentById('ring-rhythm'))
const [E2, A2, D3, G3, B3, E4] = [0, 1, 2, 3, 4, 5]

/** Loud enough that every string is called where it is a string: what is counted are wrong calls, not silence. */
const ratioDb = 20
const seed = 62
const octave = 1200

/** Eight seconds are taken; the rest is for the page to open the device on a busy machine. */
export const noiseS = 12
/** A call takes half a second (stringfinder.ts); a hand is as quick as that from string to string. */
export const betweenS = 1.05
const ringS = 0.85

interface Played {
  readonly at: number
  readonly cents: number
}

/** While E2 is asked for. The last rings alone for as long as is kept of a pluck, so that a person may say that it was one. */
export const wrongStrings = [D3, G3, B3, E4, A2, D3, G3, B3, E4, A2]
const longRingS = 3.4
export const wrongFromS = noiseS + 0.5
export const forcedAtS = wrongFromS + betweenS * (wrongStrings.length - 1) + longRingS + 0.1

/** While that very string is asked for, each an octave above it. */
export const octavesAsked = [D3, G3, E4]
export const octavesFromS = forcedAtS + 1.2
/** Three seconds are kept of each, and the page asks for the next. */
export const octaveBetweenS = 3.9
export const octaveRingS = 2.9

/** Nothing is plucked while the string is looked for. */
export const aloneFromS = octavesFromS + octaveBetweenS * octavesAsked.length
export const aloneS = 6

/** No string of the instrument is within 200 c of any of them. */
export const octavesPlayed: readonly Played[] = [
  ...[E2, A2, D3, G3, B3].map((at) => ({ at, cents: octave })),
  ...[A2, D3, G3, B3, E4].map((at) => ({ at, cents: -octave })),
]
export const octavesPlayedFromS = aloneFromS + aloneS
/** Out of tune by what a string is after a change of weather, both ways. */
export const rightPlayed: readonly Played[] = [E2, A2, D3, G3, B3, E4, B3, G3, D3, A2].map((at, i) => ({
  at,
  cents: 10 * (i - 4.5),
}))
export const rightPlayedFromS = octavesPlayedFromS + betweenS * octavesPlayed.length
export const endS = rightPlayedFromS + betweenS * rightPlayed.length + 0.5

function placed({ at, cents }: Played, atS: number, rings = ringS): PlacedPluck {
  const string = strings[at]
  if (string === undefined) throw new Error(`no string ${at}`)
  return { string, cents, atS, ringS: rings, ratioDb }
}

export function stringsPlayed(rateHz: number): Float32Array {
  const wrong = wrongStrings.map((at, i) =>
    placed({ at, cents: 0 }, wrongFromS + betweenS * i, i === wrongStrings.length - 1 ? longRingS : ringS),
  )
  const octaves = octavesAsked.map((at, i) =>
    placed({ at, cents: octave }, octavesFromS + octaveBetweenS * i, octaveRingS),
  )
  const looked = [...octavesPlayed, ...rightPlayed].map((played, i) =>
    placed(played, octavesPlayedFromS + betweenS * i),
  )
  const room = [
    { id: 'pink', levelDb: 0, values: {} },
    { id: 'hum', levelDb: -6, values: { mainsHz: 49.9 } },
  ]
  return pluckedRoom(endS, room, [...wrong, ...octaves, ...looked], rateHz, seed)
}
