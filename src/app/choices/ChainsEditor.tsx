/** Chains among the methods of a study: which there are, and one more out of two methods and the let-go between them. */
import { useState } from 'react'
import { methods as knownMethods, methodById } from '../../core/methods/index.ts'
import type { MethodChoice } from '../../core/study/study.ts'
import { letGoField } from '../../core/study/studyfields.ts'
import { SelectBox } from '../instruments/SelectBox.tsx'
import { namesOf } from '../run/names.ts'
import type { EditorProps } from './editors.tsx'
import { FieldInput } from './Ticks.tsx'

const offered = knownMethods.filter(({ source }) => !source.startsWith('npm package'))
const options = offered.map(({ id }) => ({ id, title: id }))

/** Whoever was told the note cannot be followed by one that was not. */
const mayFollow = (first: string): typeof options =>
  methodById(first).family === 'aimed' ? options.filter(({ id }) => methodById(id).family === 'aimed') : options

export function ChainsEditor({ study, change }: Pick<EditorProps, 'study' | 'change'>) {
  const chains = study.methods.filter(({ after }) => after !== undefined)
  const names = namesOf(study)
  const [open, setOpen] = useState(chains.length > 0)
  const [first, setFirst] = useState('harmonic-sum')
  const [last, setLast] = useState('partial-fit')
  const [letGoCents, setLetGoCents] = useState(letGoField.default)
  const fits = mayFollow(first)
  const follower = fits.some(({ id }) => id === last) ? last : (fits[0]?.id ?? last)
  const wished: MethodChoice = { id: follower, values: {}, after: [{ id: first, values: {}, letGoCents }] }
  const isThere = chains.some((chain) => JSON.stringify(chain) === JSON.stringify(wished))
  return (
    <section className="method-group" aria-label="chains">
      <div className="method-group-head">
        <button type="button" className="method-group-title" aria-expanded={open} onClick={() => setOpen(!open)}>
          <strong>chains: one method, then another</strong>
          <span className="quiet">{chains.length}</span>
        </button>
      </div>
      {open && (
        <div className="method-rows">
          {study.methods.map((choice, at) =>
            choice.after === undefined ? null : (
              <div key={names[at]} className="method-row">
                <span>{names[at]}</span>
                <button
                  type="button"
                  className="button"
                  aria-label={`Take out: ${names[at]}`}
                  onClick={() => change({ methods: study.methods.filter((other) => other !== choice) })}
                >
                  Take out
                </button>
              </div>
            ),
          )}
          <p className="notes">
            On one pluck the first is heard until it settles. Near the note it lets go and the next one listens; far off
            its word stands, for a person would turn now.
          </p>
          <div className="fields">
            <SelectBox title="First" chosen={first} options={options} onChoose={setFirst} />
            <FieldInput
              title="lets go within"
              field={letGoField}
              value={letGoCents}
              step={0.5}
              onValue={setLetGoCents}
            />
            <SelectBox title="Then" chosen={follower} options={fits} onChoose={setLast} />
            <button
              type="button"
              className="button"
              // Not disabled outright: the focus would be lost, and Escape with it.
              aria-disabled={isThere || first === follower}
              onClick={() => {
                if (!isThere && first !== follower) change({ methods: [...study.methods, wished] })
              }}
            >
              Add this chain
            </button>
          </div>
        </div>
      )}
    </section>
  )
}
