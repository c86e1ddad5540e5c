/** The input that was meant, and what it gives, told without guessing. */
import { describe, expect, it } from 'vitest'
import { appliedSettings, audioConstraints, matchDevice, rateNotes } from '../../src/host/devices.ts'

const devices = [
  { kind: 'audioinput', deviceId: 'a', label: 'Desk' },
  { kind: 'audioinput', deviceId: 'b', label: 'Podium' },
  { kind: 'audiooutput', deviceId: 'c', label: 'Ring' },
] as const

describe('the input that was meant', () => {
  it('goes by id first, then by name, then by default, and tells so', () => {
    expect(matchDevice({ id: 'b', label: 'Desk' }, devices)).toEqual({ id: 'b', by: 'id', note: null })
    expect(matchDevice({ id: 'stale', label: 'Podium' }, devices)).toMatchObject({ id: 'b', by: 'label' })
    const gone = matchDevice({ id: 'c', label: 'Ring' }, devices)
    expect(gone).toMatchObject({ id: null, by: 'default' })
    expect(gone.note).toContain('"Ring" is not heard')
    expect(matchDevice({ id: '', label: '' }, devices)).toEqual({ id: null, by: 'default', note: null })
  })

  it('is asked for plain false and no rate', () => {
    const asked = { echoCancellation: false, noiseSuppression: false, autoGainControl: false }
    expect(audioConstraints(null)).toEqual(asked)
    expect(audioConstraints('b')).toEqual({ ...asked, deviceId: { exact: 'b' } })
  })

  it('is tagged as processed unless all three are known to be off', () => {
    const off = { echoCancellation: false, noiseSuppression: false, autoGainControl: false }
    expect(appliedSettings(off).processed).toBe(false)
    expect(appliedSettings({ ...off, autoGainControl: true })).toMatchObject({ gain: 'on', processed: true })
    expect(appliedSettings({ echoCancellation: false, noiseSuppression: false })).toMatchObject({
      gain: 'unknown',
      processed: true,
      rateHz: null,
    })
  })
})

it('tells of a rate that is low at the device or in the browser, and of one that the browser converts', () => {
  expect(rateNotes(48_000, 48_000)).toEqual([])
  expect(rateNotes(undefined, 44_100)).toEqual([])
  expect(rateNotes(44_100, 48_000)).toEqual([expect.stringMatching(/44100 Hz.*48000 Hz.*converts/)])
  // A telephone headset in a browser that runs at the loudspeaker's rate.
  const headset = rateNotes(16_000, 48_000)
  expect(headset).toHaveLength(2)
  expect(headset[1]).toContain('16000 Hz is a low rate')
  expect(rateNotes(undefined, 16_000)).toEqual([expect.stringContaining('16000 Hz is a low rate')])
})
