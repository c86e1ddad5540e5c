/** Body of the worker that makes figures of a take's parts; the noise of each take stays here for its strings. */
import { fill } from '../../core/fields.ts'
import { methodById } from '../../core/methods/index.ts'
import { listen } from '../../core/methods/listen.ts'
import { Problem } from '../../core/problem.ts'
import { clockFigures } from '../../core/room/clockrate.ts'
import { type NoiseFigures, noiseFigures } from '../../core/room/noisetake.ts'
import { steadyToneFigures } from '../../core/room/steadytone.ts'
import { findString } from '../../core/room/stringfinder.ts'
import { stringFigures } from '../../core/room/stringtake.ts'
import { toneTrack } from '../../core/room/tonetrack.ts'
import { stringVerdict } from '../../core/room/verdict.ts'
import type { FiguresAnswer, FiguresOrder } from './figures.ts'

interface WorkerScope {
  postMessage(message: { readonly ticket: number; readonly answer: FiguresAnswer }): void
  onmessage: ((event: MessageEvent<{ readonly ticket: number; readonly order: FiguresOrder }>) => void) | null
}

const scope = globalThis as unknown as WorkerScope
const noises = new Map<string, NoiseFigures>()

function answerTo(order: FiguresOrder): FiguresAnswer {
  if (order.kind === 'noise') {
    const noise = noiseFigures(order.samples, order.sampleRateHz, order.strings)
    noises.set(order.take, noise)
    return { kind: 'noise', noise }
  }
  if (order.kind === 'replay') {
    const { samples, stream } = order
    const tracks = order.methods.map(({ id, values }) => {
      const method = methodById(id)
      return listen(method, samples, stream, fill(method.fields, values)).map(({ toSample, f0Hz }) => ({
        atS: toSample / stream.sampleRateHz,
        f0Hz,
      }))
    })
    return { kind: 'replay', tracks }
  }
  if (order.kind === 'input-check') {
    const { samples, sampleRateHz, nearHz, known, sourceGoesOn } = order
    const track = toneTrack(samples, sampleRateHz, known?.hz ?? nearHz)
    if (track === null) return { kind: 'input-check', tone: null, clock: null }
    const clock = known === null ? null : clockFigures(track, known.hz, known.ppm)
    return { kind: 'input-check', tone: steadyToneFigures(track, sourceGoesOn), clock }
  }
  const noise = noises.get(order.take)
  if (noise === undefined) throw new Problem('the noise of this take has no figures', 'noise')
  const figures = stringFigures(order.samples, order.sampleRateHz, order.string, noise)
  const found = findString(order.samples, order.sampleRateHz, noise.strings, noise)
  return { kind: 'string', figures, verdict: stringVerdict(order.string, figures, noise, found.id), found }
}

scope.onmessage = ({ data: { ticket, order } }) => {
  try {
    scope.postMessage({ ticket, answer: answerTo(order) })
  } catch (cause) {
    const what = cause instanceof Problem ? cause.sentence : cause instanceof Error ? cause.message : String(cause)
    scope.postMessage({ ticket, answer: { kind: 'problem', what } })
  }
}
