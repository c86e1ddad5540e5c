/** The figures of a take that is kept, made again from its samples by the code of today. */
import type { JudgedTake } from '../../core/room/comparetakes.ts'
import type { RoomString } from '../../core/room/roomstring.ts'
import type { StringFigures } from '../../core/room/stringfigures.ts'
import { isAnother } from '../../core/room/verdict.ts'
import { figuresOf } from './figures.ts'
import { takeById } from './takes.ts'

/** A sentence where there are none. Only the guided parts count, and of them those in which the string itself sounded. */
export async function figuresOfTake(id: string, strings: readonly RoomString[]): Promise<JudgedTake | string> {
  const take = await takeById(id)
  if (take === null) return 'This take is gone from the browser.'
  const { sampleRateHz, parts } = take.head
  const noisePart = parts.find(({ name }) => name === 'noise')
  const samples = take.samples.get(noisePart?.name ?? '')
  if (samples === undefined) return 'The noise of this take is gone from the browser.'
  const answer = await figuresOf({ kind: 'noise', take: id, samples, sampleRateHz, strings })
  if (answer.kind !== 'noise') return answer.kind === 'problem' ? answer.what : 'No figures came back.'
  const judged = new Map<string, StringFigures>()
  for (const part of parts) {
    const string = strings.find((one) => one.id === part.string)
    const own = take.samples.get(part.name)
    // Extra parts were kept by hand: nobody says when their pluck begins, or that there is one.
    if (string === undefined || own === undefined || !part.name.startsWith('string-')) continue
    const told = await figuresOf({ kind: 'string', take: id, samples: own, sampleRateHz, string })
    if (told.kind === 'string' && !isAnother(told.verdict)) judged.set(string.id, told.figures)
  }
  return {
    noise: answer.noise,
    strings: strings.flatMap((string) => judged.get(string.id) ?? []),
  }
}
