/** Every noise of the bench. One line each; the order is the order of lists. */
import { Problem } from '../../problem.ts'
import { babble } from './babble.ts'
import { bassline } from './bassline.ts'
import { buzz } from './buzz.ts'
import { chord } from './chord.ts'
import { clicks } from './clicks.ts'
import { crowd } from './crowd.ts'
import { handling } from './handling.ts'
import { hum } from './hum.ts'
import type { Noise } from './noise.ts'
import { pink } from './pink.ts'
import { profile } from './profile.ts'
import { recorded } from './recorded.ts'
import { rumble } from './rumble.ts'
import { shaken } from './shaken.ts'
import { stage } from './stage.ts'
import { unison } from './unison.ts'
import { whistles } from './whistles.ts'
import { white } from './white.ts'

export const noises: readonly Noise[] = [
  ...[white, pink, hum, buzz],
  ...[babble, crowd, whistles],
  ...[stage, bassline, clicks, chord, unison],
  ...[rumble, handling, shaken],
  ...[recorded, profile],
]

/** @throws Problem that lists the known ids. */
export function noiseById(id: string, where = 'id'): Noise {
  const found = noises.find((noise) => noise.id === id)
  if (found === undefined) {
    throw new Problem(`no noise "${id}"; known are ${noises.map((noise) => noise.id).join(', ')}`, where)
  }
  return found
}
