/**
 * One trial: a pluck of one string in one room at one ratio, heard by every method of the study.
 *
 * Seeds are made of (study seed, cell, repeat, stream name) and never of the method or of the order of draws: all methods
 * hear identical samples, and any trial can be replayed alone. The string side does not depend on room or ratio, so its
 * readings (the quiet twin) are kept for the trials that share it. A method that throws becomes a failed outcome.
 */
import { fill } from '../fields.ts'
import { randomStream } from '../maths/random.ts'
import { type Spectrum, scaledSpectrum } from '../maths/spectrum.ts'
import { hzFromCents } from '../maths/units.ts'
import { methodById } from '../methods/index.ts'
import { listen } from '../methods/listen.ts'
import type { Method, Reading, Stream } from '../methods/method.ts'
import { Problem } from '../problem.ts'
import { mixAtRatio, type RenderedString, renderNoises, renderString, roomSpectrum } from '../scene/render.ts'
import { pluckFields, type Recordings, type Rendered, type Scene } from '../scene/scene.ts'
import { type Bound, openBound } from '../score/bound.ts'
import { type Score, scoreReadings } from '../score/score.ts'
import type { MethodChoice, Outcome, Study, StudyRoom, StudyString, Trial } from './study.ts'
