/** Under the thumb: the strings with how they stand, the string that is looked for, freeze and keep. */

import { aimAt } from './aiming.ts'
import { aimFind, aimGuide, useRoom } from './roomstore.ts'
import { tell } from './session.ts'
import { standingWords } from './words.ts'

export function StringBar(props: { frozen: boolean; onFreeze(): void; onKeep(): void }) {
  const { guide, strings, aim, input, found } = useRoom()
  const listening = input?.state.kind === 'listening'
  const aimed = aim === aimGuide ? guide.asked : aim === aimFind ? found : aim
  const taking = guide.step === 'pluck' || guide.step === 'keep'
  const press = (id: string): void => {
    if (taking) tell({ kind: 'redo', string: id })
    else aimAt(aim === id ? aimGuide : id)
  }
  const chosen = strings.find(({ id }) => id === aim)
  return (
    <div className="room-bar">
      <fieldset className="room-strings">
        <legend className="unseen">Strings</legend>
        {strings.map(({ id, title }) => {
          const part = guide.strings.find((one) => one.id === id)
          const now = guide.asked === id
          return (
            <button
              key={id}
              type="button"
              className="button room-string"
              aria-pressed={aimed === id}
              disabled={guide.noise !== 'kept' && input === null}
              onClick={() => press(id)}
            >
              <span>{title}</span>
              <span className="room-standing">
                {now ? (guide.step === 'keep' ? 'heard' : 'now') : standingWords[part?.standing ?? 'to-do']}
              </span>
            </button>
          )
        })}
      </fieldset>
      <div className="room-bar-actions">
        {guide.step === 'done' && chosen !== undefined && (
          <button
            type="button"
            className="button tall"
            onClick={() => {
              aimAt(aimGuide)
              tell({ kind: 'redo', string: chosen.id })
            }}
          >
            {chosen.title} again
          </button>
        )}
        {!taking && (
          <button
            type="button"
            className="button tall"
            aria-pressed={aim === aimFind}
            disabled={!listening}
            onClick={() => aimAt(aim === aimFind ? aimGuide : aimFind)}
          >
            Find the string
          </button>
        )}
        <button
          type="button"
          className="button tall"
          aria-pressed={props.frozen}
          aria-keyshortcuts="f"
          disabled={input === null}
          onClick={props.onFreeze}
        >
          Freeze 20 s
        </button>
        <button
          type="button"
          className="button main"
          aria-keyshortcuts="k"
          disabled={input === null}
          onClick={props.onKeep}
        >
          Keep take
        </button>
      </div>
    </div>
  )
}
