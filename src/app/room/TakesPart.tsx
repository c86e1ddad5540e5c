/**
 * The takes this browser has: each can be saved as a file, renamed or removed, and one from a file comes back. What the
 * browser would not keep is said here, with the way out.
 */
import { useState } from 'react'
import { Button, FileTrigger } from 'react-aria-components'
import { sentenceOf } from '../instruments/store.ts'
import type { TakeHead } from './take.ts'
import { exportTake, importTake, removeTake, renameTake, useTakes } from './takes.ts'

export function TakesPart({ open }: { open: string | null }) {
  const { heads, unkept, kept, bytesLeft } = useTakes()
  const [problem, setProblem] = useState<string | null>(null)
  const read = async (file: File): Promise<void> => {
    setProblem(null)
    try {
      await importTake(new Uint8Array(await file.arrayBuffer()))
    } catch (cause) {
      setProblem(`${file.name}: ${sentenceOf(cause)}. Nothing was lost.`)
    }
  }
  const save = async (id: string): Promise<void> => {
    setProblem((await exportTake(id)) ? null : 'This take is gone from the browser: it cannot be saved.')
  }
  return (
    <section className="room-part" aria-labelledby="room-takes">
      <h2 id="room-takes">Takes on this machine</h2>
      {kept !== null && kept !== 'kept' && (
        <p className="problem" role="alert">
          {kept === 'full'
            ? 'The browser has no room left. Nothing that was taken is lost while this page is open: save the takes as files, or remove old ones.'
            : 'The browser keeps nothing here. Nothing that was taken is lost while this page is open: save the takes as files.'}
        </p>
      )}
      {heads.length === 0 ? (
        <p className="quiet">None yet. A take is kept part by part as it comes, and outlives this page.</p>
      ) : (
        <ul className="room-takes">
          {heads.map((head) => (
            <li key={head.id}>
              <TakeLine
                head={head}
                note={head.id === open ? 'this one' : unkept.includes(head.id) ? 'not kept by the browser' : ''}
                onSave={() => void save(head.id)}
              />
            </li>
          ))}
        </ul>
      )}
      <div className="room-actions">
        <FileTrigger
          acceptedFileTypes={['.zip', 'application/zip']}
          onSelect={(files) => {
            const file = files?.[0]
            if (file !== undefined) void read(file)
          }}
        >
          <Button className="button tall">Open a take from a file</Button>
        </FileTrigger>
        <p className="quiet">
          A file holds one 32-bit float WAV a part and what belongs to it as JSON.
          {Number.isFinite(bytesLeft) && ` The browser has about ${Math.floor(bytesLeft / 1e6)} MB left.`}
        </p>
      </div>
      {problem !== null && (
        <p className="problem" role="alert">
          {problem}
        </p>
      )}
    </section>
  )
}

function TakeLine({ head, note, onSave }: { head: TakeHead; note: string; onSave(): void }) {
  const { id, title, madeAt, parts, path, madeUp } = head
  const [removing, setRemoving] = useState(false)
  const plucks = parts.filter(({ kind }) => kind === 'pluck').length
  const words = [
    new Date(madeAt).toLocaleString(),
    path,
    `${parts.length - plucks === 0 ? 'no noise' : 'noise'} and ${plucks} ${plucks === 1 ? 'pluck' : 'plucks'}`,
    ...(madeUp ? ['made up'] : []),
    ...(note === '' ? [] : [note]),
  ]
  return (
    <>
      <label className="text-field">
        <span className="unseen">Name of the take</span>
        <input defaultValue={title} onBlur={(event) => void renameTake(id, { title: event.target.value })} />
        <span className="notes">{words.join(', ')}</span>
      </label>
      <div className="room-take-buttons">
        <button type="button" className="button" onClick={onSave}>
          Save as a file
        </button>
        <button type="button" className="button" onClick={() => (removing ? void removeTake(id) : setRemoving(true))}>
          {removing ? 'Remove for good' : 'Remove'}
        </button>
      </div>
    </>
  )
}
