/**
 * Which input a person meant, what it was asked for and what the browser says it gives.
 *
 * Names and lasting ids of devices are told only after permission, and ids change when site data is cleared: a device is
 * matched by id, then by name, then the default is taken, and which of these it was is told. Processing is asked off with a
 * plain `false`: an `exact` one would refuse the device instead (W3C Media Capture and Streams, 2024, constraints). A
 * setting the browser does not report is unknown, which is not off. Filters in the system or the device are not seen here.
 */

export interface WantedDevice {
  /** '' means no device in particular. */
  readonly id: string
  readonly label: string
}

export type InputDevice = Pick<MediaDeviceInfo, 'deviceId' | 'label' | 'kind'>

export interface MatchedDevice {
  /** null: leave the pick to the browser. */
  readonly id: string | null
  readonly by: 'id' | 'label' | 'default'
  /** What to tell a person; null: it is the device that was asked for. */
  readonly note: string | null
}

export function matchDevice(wanted: WantedDevice, devices: readonly InputDevice[]): MatchedDevice {
  const inputs = devices.filter(({ kind }) => kind === 'audioinput')
  if (wanted.id !== '' && inputs.some(({ deviceId }) => deviceId === wanted.id))
    return { id: wanted.id, by: 'id', note: null }
  const named = wanted.label === '' ? [] : inputs.filter(({ label }) => label === wanted.label)
  if (named.length > 0) {
    const several = named.length > 1 ? ` ${named.length} inputs have this name: check which one is heard.` : ''
    return { id: named[0].deviceId, by: 'label', note: `"${wanted.label}" was found by its name.${several}` }
  }
  if (wanted.id === '' && wanted.label === '') return { id: null, by: 'default', note: null }
  return missedDevice(wanted, 'it is not there')
}

/** The device that was meant does not open: what is told of the default one in its place. */
export function missedDevice({ label }: WantedDevice, why: string): MatchedDevice {
  const missed = label === '' ? 'The input used before' : `"${label}"`
  return { id: null, by: 'default', note: `${missed} is not heard: ${why}. The default input is heard instead.` }
}

/** What the id of the system's own choice is in browsers that list it (W3C Media Capture and Streams, 2024, deviceId). */
export const defaultId = 'default'

/** Under it the upper partials of the thinnest strings are cut (own choice: the rate of a compact disc). */
const leastRateHz = 44_100

/** What is to be told of the rates. `deviceHz` undefined: the browser does not tell it. */
export function rateNotes(deviceHz: number | undefined, contextHz: number): string[] {
  const lowestHz = Math.min(deviceHz ?? contextHz, contextHz)
  const notes = []
  if (deviceHz !== undefined && deviceHz !== contextHz)
    notes.push(`The input runs at ${deviceHz} Hz and is heard at ${contextHz} Hz: the browser converts it.`)
  if (lowestHz < leastRateHz)
    notes.push(`${lowestHz} Hz is a low rate: high partials are missing, do not calibrate here.`)
  return notes
}

/** What is asked of getUserMedia. The rate is never asked for: the device keeps its own. */
export function audioConstraints(id: string | null): MediaTrackConstraints {
  const asked = { echoCancellation: false, noiseSuppression: false, autoGainControl: false }
  return id === null ? asked : { ...asked, deviceId: { exact: id } }
}

export type Processing = 'on' | 'off' | 'unknown'

export interface AppliedSettings {
  readonly echo: Processing
  readonly noise: Processing
  readonly gain: Processing
  /** null: not told. */
  readonly rateHz: number | null
  readonly channels: number | null
  /** True: what is heard is tagged, for something is on or not known to be off. */
  readonly processed: boolean
}

export function appliedSettings(settings: MediaTrackSettings): AppliedSettings {
  const echo = processing(settings.echoCancellation)
  const noise = processing(settings.noiseSuppression)
  const gain = processing(settings.autoGainControl)
  return {
    echo,
    noise,
    gain,
    rateHz: settings.sampleRate ?? null,
    channels: settings.channelCount ?? null,
    processed: [echo, noise, gain].some((one) => one !== 'off'),
  }
}

/** Newer browsers name a kind of echo removal instead of `true`. */
function processing(value: boolean | string | undefined): Processing {
  if (value === undefined) return 'unknown'
  return value === false ? 'off' : 'on'
}
