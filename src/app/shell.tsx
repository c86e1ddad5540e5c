/** The frame around every page: rail or strip of pages, what was saved, and the list of keys. */
import { type ReactNode, useEffect, useState } from 'react'
import { Button, Dialog, DialogTrigger, Heading, Modal, ModalOverlay } from 'react-aria-components'
import type { Page } from './pages/page.ts'
import { routeHash, useRoute } from './router.ts'
import { useBench } from './store.ts'

const keys: readonly (readonly [string, string])[] = [
  ['← →', 'next ratio'],
  ['↑ ↓', 'next method'],
  ['Shift with ← →', 'next room or string'],
  ['Enter', 'open the trial of the chosen point'],
  ['← →', 'in a trial: the trials beside it'],
  ['Space', 'in a trial: hear the mix, stop'],
  ['Any key or pedal', 'room: go on'],
  ['S, F, K', 'room: skip the string, freeze the last 20 s, keep them'],
  ['Space, 1 to 9', 'drill: pluck'],
  ['← →, with Shift', 'drill: turn the peg by 0.2°, by 2°'],
  ['F, Enter, E', 'drill: switch the method, let go, end'],
  ['R, E', 'my hand: the last turn again, stop'],
  ['Ctrl Z, Ctrl Shift Z', 'instruments: undo, redo'],
  ['C, T', 'charts, table'],
  ['?', 'this list'],
  ['Esc', 'close what is open'],
]

/** Pages without a word of their own belong to one that has. */
const within: Readonly<Record<string, string>> = { trial: '', hand: 'plan' }

export function Shell(props: { pages: readonly Page[]; children: ReactNode }) {
  const route = useRoute()
  const [keysOpen, setKeysOpen] = useState(false)
  const study = route.query.study
  useEffect(() => {
    const hear = (event: globalThis.KeyboardEvent): void => {
      const { target } = event
      if (target instanceof HTMLElement && target.closest('input, textarea, select, [role="dialog"]') !== null) return
      if (event.ctrlKey || event.metaKey || event.altKey) return
      if (event.key === '?') setKeysOpen(true)
      if (event.key === 'c') useBench.getState().show({ as: 'charts' })
      if (event.key === 't') useBench.getState().show({ as: 'table' })
    }
    window.addEventListener('keydown', hear)
    return () => window.removeEventListener('keydown', hear)
  }, [])
  return (
    <div className="shell">
      <nav className="rail" aria-label="Pages">
        <p className="rail-name bracketed">clatterbench</p>
        <ul className="rail-pages">
          {props.pages
            .filter((page) => page.title !== null)
            .map((page) => {
              const current = page.path === (within[route.path] ?? route.path)
              return (
                <li key={page.path}>
                  <a
                    href={routeHash(page.path, study === undefined ? {} : { study })}
                    aria-current={current ? 'page' : undefined}
                  >
                    <span className={current ? 'bracketed' : ''}>{page.title}</span>
                  </a>
                </li>
              )
            })}
        </ul>
        <div className="rail-foot">
          <Saved />
          <DialogTrigger isOpen={keysOpen} onOpenChange={setKeysOpen}>
            <Button className="keys-button">Keys: ?</Button>
            <ModalOverlay className="modal-ground" isDismissable>
              <Modal className="modal">
                <Dialog className="dialog">
                  <Heading slot="title" level={2}>
                    Keys
                  </Heading>
                  <dl className="keys">
                    {keys.map(([key, does]) => (
                      <div key={does}>
                        <dt>{key}</dt>
                        <dd>{does}</dd>
                      </div>
                    ))}
                  </dl>
                  <p className="quiet">Arrow keys and Enter work while the charts are in focus.</p>
                  <div className="dialog-foot">
                    <Button slot="close" className="button">
                      Close
                    </Button>
                  </div>
                </Dialog>
              </Modal>
            </ModalOverlay>
          </DialogTrigger>
        </div>
      </nav>
      {props.children}
    </div>
  )
}

/** Said only when it is so: a browser that refuses storage is named too. */
function Saved() {
  const savedAt = useBench((state) => state.savedAt)
  const refused = useBench((state) => state.storageRefused)
  if (refused) return <span>Not saved: the browser refuses. Save a file to keep results.</span>
  if (savedAt === null) return null
  const time = new Date(savedAt).toLocaleTimeString('en-GB', { hour: '2-digit', minute: '2-digit', second: '2-digit' })
  return <span>Saved {time}</span>
}
