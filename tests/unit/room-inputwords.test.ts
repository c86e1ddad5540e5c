/** The sentences of the input's checks: verdict first, its figure and interval in it, what to do after it. */
import { describe, expect, it } from 'vitest'
import { clockRate } from '../../src/core/room/clockrate.ts'
import { clockWords, steadyToneWords } from '../../src/core/room/inputwords.ts'
import { steadyTone } from '../../src/core/room/steadytone.ts'
import { roomS, type ToneWish, toneInRoom } from './inputtones.ts'

const rateHz = 8000
const db = (decibels: number): number => 10 ** (decibels / 20)

function words(wish: ToneWish, sourceGoesOn = false) {
  const figures = steadyTone(toneInRoom(wish), rateHz, null, sourceGoesOn)
  if (figures === null) throw new Error('no tone was found')
  return steadyToneWords(figures, sourceGoesOn)
}

describe('what the steady-tone test says', () => {
  it('of a plain tone: that nothing was done, by how much at most', () => {
    expect(words({ seed: 1 }).sentence).toMatch(
      /^Nothing was done to the tone: its level changed by [−+]?0\.\d dB \([−+]?0\.\d to [−+]?0\.\d\), less than 1 dB either way\.$/,
    )
  })

  it('of a fade in which the room falls too, of a ramp, a gap, a pump and a gate: each by its name', () => {
    const fade = (atS: number) => db(-15 * (1 - Math.exp(-Math.max(0, atS - roomS) / 1.5)))
    expect(words({ seed: 2, gain: fade }).sentence).toMatch(
      /^Faded: the tone fell by 1\d\.\d dB .*, and the room fell with it/,
    )
    const ramp = (atS: number) => db(Math.min(9, Math.max(0, atS - roomS)))
    expect(words({ seed: 3, amplitude: 0.03, gain: ramp }).sentence).toMatch(/^Raised: the tone rose by/)
    expect(words({ seed: 4, gain: (atS) => (atS > 9 && atS < 9.6 ? 0.01 : 1) }).sentence).toMatch(
      /fell under half once/,
    )
    expect(words({ seed: 5, gain: (atS) => db(2 * Math.sin(4 * atS)) }).sentence).toMatch(/^Pumped:/)
    expect(words({ seed: 6, gain: (atS) => (atS < roomS ? 0.01 : 1) }).sentence).toMatch(/^Held down in the pause:/)
    expect(words({ seed: 7, gain: (atS) => (atS < roomS ? 1 : 0.3) }).sentence).toMatch(/^Turned down for the tone:/)
  })

  it('of a tone that went away: what it may be, and what it is where the page played it', () => {
    const wish = { seed: 8, endsS: 15 }
    expect(words(wish).reasons.join(' ')).toContain('If it was still playing then')
    expect(words(wish, true).sentence).toMatch(/^Lost: the tone was gone after 1\d s although it went on/)
    expect(words({ seed: 8, endsS: 8 }).sentence).toMatch(
      /^Not told yet: the tone was heard for [45]\.\d s, and 10 s are/,
    )
  })

  it('of a tone that was there from the start: that its beginning was missed; of full scale: that it overloaded', () => {
    const { reasons } = words({ seed: 9, beginsS: 0, amplitude: 1 })
    expect(reasons.join(' ')).toContain('Too little of the room alone')
    expect(reasons.join(' ')).toContain('Overload')
  })
})

describe('what the clock-rate check says', () => {
  const told = (ppm: number, knownPpm: number) => {
    const figures = clockRate(toneInRoom({ seed: 11, hz: 1000 / (1 + ppm / 1e6) }), rateHz, 1000, knownPpm)
    if (figures === null) throw new Error('no tone was found')
    return clockWords(figures)
  }

  it('cents to be taken into account, never applied', () => {
    const { sentence, reasons } = told(50, 0)
    expect(sentence).toMatch(/^This input’s clock is (49|50)\.\d ppm fast \(.*\): readings are off by −0\.08\d c/)
    expect(reasons[0]).toContain('nothing on this page is corrected')
  })

  it('no difference where the source is no better known', () => {
    expect(told(50, 100).sentence).toMatch(/^No difference of the clock is told: −[45]\d\.\d to \+1[45]\d\.\d ppm/)
    expect(told(3000, 0).sentence).toMatch(/no clock is off by so much/)
  })
})
