/** Every noise of the bench. One line each; the order is the order of lists. */
import { Problem } from '../../problem.ts'
import { babble } from './babble.ts'
import { handling } from './handling.ts'
import { hum } from './hum.ts'
import type { Noise } from './noise.ts'
import { pink } from './pink.ts'
import { recorded } from './recorded.ts'
import { stage } from './stage.ts'
import { white } from './white.ts'

export const noises: readonly Noise[] = [white, pink, hum, babble, stage, handling, recorded]

/** @throws Problem that lists the known ids. */
export function noiseById(id: string, where = 'id'): Noise {
  const found = noises.find((noise) => noise.id === id)
  if (found === undefined) {
    throw new Problem(`no noise "${id}"; known are ${noises.map((noise) => noise.id).join(', ')}`, where)
  }
  return found
}
