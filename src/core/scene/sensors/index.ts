/** Every sensor of the bench. One line each; the order is the order of lists. */
import { Problem } from '../../problem.ts'
import { headstock } from './headstock.ts'
import { magnetic } from './magnetic.ts'
import { microphone } from './microphone.ts'
import { none } from './none.ts'
import type { Sensor } from './sensor.ts'
import { underSaddle } from './undersaddle.ts'

export const sensors: readonly Sensor[] = [none, magnetic, underSaddle, microphone, headstock]

/** @throws Problem that lists the known ids. */
export function sensorById(id: string, where = 'id'): Sensor {
  const found = sensors.find((sensor) => sensor.id === id)
  if (found === undefined) {
    throw new Problem(`no sensor "${id}"; known are ${sensors.map((sensor) => sensor.id).join(', ')}`, where)
  }
  return found
}
