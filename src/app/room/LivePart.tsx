/** The live methods of the Room page: which, aimed at what; frozen, or running. */
import { useMemo } from 'react'
import { Button, Dialog, DialogTrigger, Heading, Popover } from 'react-aria-components'
import { methods as allMethods } from '../../core/methods/index.ts'
import { studyDefaults } from '../../core/study/presets.ts'
import type { Live } from '../../host/live.ts'
import type { LiveChoice } from '../../host/livemessages.ts'
import { TickList } from '../choices/Ticks.tsx'
import { LivePicture } from '../live/LivePicture.tsx'
import { type Frozen, FrozenPart } from './FrozenPart.tsx'
import { aimedString, aimFind, aimGuide, useRoom } from './roomstore.ts'
import { foreignWords } from './words.ts'

const { lowestHz, highestHz, claim } = studyDefaults
/** More rulers than that nobody reads at once, and a small laptop cannot hear. */
const mostMethods = 5
export const firstMethods: readonly LiveChoice[] = ['joint-fit', 'growing-fit', 'whitened-sum', 'yin', 'mpm'].map(
  (id) => ({ id, values: {} }),
)

export function LivePart(props: {
  live: Live
  toleranceCents: number
  methods: readonly LiveChoice[]
  onMethods(methods: readonly LiveChoice[]): void
  frozen: Frozen | null
  onBack(): void
}) {
  const { live, toleranceCents, methods, onMethods, frozen, onBack } = props
  const string = useRoom(aimedString)
  const aim = useRoom((state) => state.aim)
  const noise = useRoom((state) => state.noise)
  const plucks = useRoom((state) => state.plucks)
  const foreign = useRoom(({ foreign, strings }) => foreignWords(foreign, strings))
  const settings = useMemo(
    () => ({
      toleranceCents,
      claim: { ...claim, tolCents: toleranceCents },
      lowestHz,
      highestHz,
      room: noise?.spectrum ?? null,
    }),
    [toleranceCents, noise],
  )
  return (
    <section aria-labelledby="room-live" className="room-part">
      <div className="room-part-head">
        <h2 id="room-live">
          {aim === aimGuide ? 'Live' : aim === aimFind ? 'Live, finding the string' : 'Live, aimed'}
        </h2>
        <MethodsWord methods={methods} onMethods={onMethods} />
      </div>
      {frozen === null ? (
        <LivePicture
          live={live}
          settings={settings}
          methods={methods}
          targetHz={string?.targetHz ?? 'find'}
          targetTitle={string?.title ?? ''}
          waiting={aim === aimFind ? 'Pluck a string: it is looked for.' : 'No string is asked for.'}
          pluck={plucks}
          foreign={foreign}
        />
      ) : (
        <FrozenPart
          frozen={frozen}
          methods={methods}
          string={string}
          lowestHz={lowestHz}
          highestHz={highestHz}
          onBack={onBack}
        />
      )}
    </section>
  )
}

function MethodsWord(props: { methods: readonly LiveChoice[]; onMethods(methods: readonly LiveChoice[]): void }) {
  const ticked = props.methods.map(({ id }) => id)
  return (
    <DialogTrigger>
      <Button className="word">{ticked.length} methods</Button>
      <Popover className="popover pick-popover" placement="bottom end" offset={2}>
        <Dialog className="dialog">
          <Heading slot="title" level={2}>
            Methods, at most {mostMethods}
          </Heading>
          <TickList
            title="Heard side by side; the first is shown large"
            options={allMethods.map(({ id, title, family }) => ({
              id,
              label: title,
              ...(family === 'aimed' ? { note: 'aimed: needs the string' } : {}),
            }))}
            ticked={ticked}
            onTick={(next) => {
              if (next.length === 0) return
              props.onMethods(next.slice(-mostMethods).map((id) => ({ id, values: {} })))
            }}
          />
        </Dialog>
      </Popover>
    </DialogTrigger>
  )
}
