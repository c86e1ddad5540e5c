/**
 * Predicted against achieved, three figures a setting: mean time, time of nine evenings in ten, and the chance that all strings end
 * verified within the tolerance.
 *
 * The interval of a prediction is that of what so many evenings would show: in every round the recorded plucks are drawn anew,
 * all imagined evenings are gone through again, and as many of them are drawn as were heard. It holds 95 of 100 outcomes if the
 * model is right, and it is judged by whether it held what was heard.
 */
import { instrumentById } from '../../../src/core/instruments/podium.ts'
import { randomStream } from '../../../src/core/maths/random.ts'
import { bootstrap, type Figure, mean, quantile, wilson } from '../../../src/core/maths/statistics.ts'
import type { HeardEpisode } from '../../../src/core/plan/closedloop.ts'
import { Draws } from '../../../src/core/plan/draws.ts'
import { recordsOf } from '../../../src/core/plan/fromrun.ts'
import { defaultHand, defaultWork } from '../../../src/core/plan/hand.ts'
import { outcomesOf } from '../../../src/core/plan/optimise.ts'
import { type PlanRequest, settingOf } from '../../../src/core/plan/plan.ts'
import { RecordedPlucks } from '../../../src/core/plan/plucks.ts'
import { headerOf } from '../../../src/core/study/record.ts'
import type { Outcome, Study } from '../../../src/core/study/study.ts'
import type { Setting } from './settings.ts'

export interface Told {
  readonly name: 'meanS' | 'p90S' | 'chance'
  readonly predicted: Figure
  readonly achieved: Figure
  readonly covered: boolean
}

type Evening = Pick<HeardEpisode, 'timeS' | 'worstCents' | 'unverified'>

export function requestOf(setting: Setting, study: Study, outcomes: readonly Outcome[]): PlanRequest {
  const header = headerOf(study, '0', 'node')
  const records = recordsOf(header, outcomes, instrumentById(setting.instrument, 'instrument'), setting.room)
  const { snrDb, bridge } = setting
  return { records, snrDb, bridge, hand: defaultHand, work: defaultWork, offsetsKnown: false, seed: study.seed }
}

const tellers: readonly { readonly name: Told['name']; of(evenings: readonly Evening[], within: number): number }[] = [
  { name: 'meanS', of: (evenings) => mean(evenings.map(({ timeS }) => timeS)) },
  {
    name: 'p90S',
    of: (evenings) =>
      quantile(
        evenings.map(({ timeS }) => timeS),
        0.9,
      ),
  },
  {
    name: 'chance',
    of: (evenings, within) =>
      evenings.filter((evening) => endsWell(evening, within)).length / Math.max(1, evenings.length),
  },
]

const endsWell = ({ worstCents, unverified }: Evening, within: number): boolean =>
  unverified === 0 && worstCents <= within

function imagined(request: PlanRequest, { chain }: Setting, episodes: Draws, round: number | null): Evening[] {
  const setting = settingOf(request, episodes)
  const plucks = round === null ? setting.plucks : new RecordedPlucks(request.records, request.seed + round + 1)
  const [{ timeS, worstCents, unverified }] = outcomesOf({ ...setting, plucks }, [chain])
  return Array.from(timeS, (value, at) => ({
    timeS: value,
    worstCents: worstCents[at] as number,
    unverified: unverified[at] as number,
  }))
}

export function compare(
  request: PlanRequest,
  setting: Setting,
  heard: readonly HeardEpisode[],
  { episodes, rounds }: { readonly episodes: number; readonly rounds: number },
): Told[] {
  const draws = new Draws(request.seed, episodes, request.records.strings.length)
  const within = setting.withinCents
  const whole = imagined(request, setting, draws, null)
  const replicates = Array.from({ length: rounds }, (_, round) => {
    const again = imagined(request, setting, draws, round)
    const random = randomStream(request.seed, 'as many as were heard', round)
    return heard.map(() => again[random.whole(again.length)] as Evening)
  })
  return tellers.map(({ name, of }) => {
    const values = replicates.map((evenings) => of(evenings, within))
    const [low, high] = [quantile(values, 0.025), quantile(values, 0.975)]
    const value = of(heard, within)
    const achieved =
      name === 'chance'
        ? wilson(heard.filter((evening) => endsWell(evening, within)).length, heard.length)
        : bootstrap([heard], (evenings) => of(evenings, within), request.seed)
    return {
      name,
      predicted: { value: of(whole, within), low, high, n: episodes },
      achieved,
      covered: value >= low && value <= high,
    }
  })
}
