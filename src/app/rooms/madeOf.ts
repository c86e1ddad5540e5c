/** What a room is made of, in one line. */
import type { BodyChoice } from '../../core/scene/body.ts'
import { noiseById } from '../../core/scene/noises/index.ts'
import { sensorById } from '../../core/scene/sensors/index.ts'
import type { StudyRoom } from '../../core/study/study.ts'
import { listed } from '../bench/figures.ts'

/** Short names of what several rooms are put together from. */
const noises: Readonly<Record<string, string>> = {
  stage: 'a band',
  shaken: 'its sound in the wood',
  handling: 'rubs and knocks',
  chord: 'a keyboard chord',
  unison: "the neighbour's string",
  crowd: 'a crowd',
  whistles: 'whistles',
  bassline: 'a bass line',
  clicks: 'count-in clicks',
  rumble: 'rumble',
  buzz: 'mains buzz',
  hum: 'mains hum',
  pink: 'pink noise',
}

const sensors: Readonly<Record<string, string>> = {
  magnetic: 'a magnetic pickup',
  'under-saddle': 'a strip under the saddle',
  microphone: 'a microphone',
  headstock: 'a contact at the headstock',
}

/** A title inside a sentence. */
const lower = (title: string): string => title.slice(0, 1).toLowerCase() + title.slice(1)

const bodies: Readonly<Record<BodyChoice['id'], string>> = { acoustic: 'a hollow body', solid: 'a solid body' }

/** "Made of mains buzz and a band, heard through a magnetic pickup, on a solid body; open strings ring with the room." */
export function madeOf({ parts, sensor, body, sympatheticDb, drivenDb }: Omit<StudyRoom, 'variant' | 'id'>): string {
  const titleOf = (id: string): string => lower(noiseById(id).title)
  const [only] = parts.length === 1 ? parts : []
  const sounds = only === undefined ? listed(parts.map(({ id }) => noises[id] ?? titleOf(id))) : titleOf(only.id)
  const through =
    sensor === undefined ? '' : `, heard through ${sensors[sensor.id] ?? lower(sensorById(sensor.id).title)}`
  const on = body === undefined ? '' : `, on ${bodies[body]}`
  const ringing = [
    ...(sympatheticDb === undefined ? [] : ['the string']),
    ...(drivenDb === undefined ? [] : ['the room']),
  ]
  const ring = ringing.length === 0 ? '' : `; open strings ring with ${listed(ringing)}`
  return `Made of ${sounds}${through}${on}${ring}.`
}
