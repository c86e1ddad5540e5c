/**
 * A scene's sensor, opened: null where there is none, so that bare scenes pay nothing.
 */
import { fill } from '../fields.ts'
import { sensorById } from './sensors/index.ts'
import type { Sensor, SensorChoice, SoundPath } from './sensors/sensor.ts'

export interface Hearing {
  readonly sensor: Sensor
  readonly values: Readonly<Record<string, number>>
  /** In place. `stringHz`: see SensorContext. */
  apply(sound: Float64Array, path: SoundPath, stringHz: number | null): void
}

/** @throws Problem for an unknown sensor or setting. */
export function openSensor(choice: SensorChoice | undefined, sampleRateHz: number): Hearing | null {
  if (choice === undefined || choice.id === 'none') return null
  const sensor = sensorById(choice.id, 'sensor.id')
  const values = fill(sensor.fields, choice.values, 'sensor')
  return {
    sensor,
    values,
    apply: (sound, path, stringHz) => sensor.apply(sound, { sampleRateHz, values, path, stringHz }),
  }
}
