/**
 * Addresses behind the `#`: `#/path?name=value`. The page is one file that any folder can serve, so no server has to know
 * its addresses. Parsed once per change, shared by everyone who asks.
 */
import { useSyncExternalStore } from 'react'

export interface Route {
  /** '' for the first page. */
  readonly path: string
  readonly query: Readonly<Record<string, string>>
}

export function parseRoute(hash: string): Route {
  const [path = '', query = ''] = hash.replace(/^#?\/?/, '').split('?')
  return { path: path.replace(/\/+$/, ''), query: Object.fromEntries(new URLSearchParams(query)) }
}

export function routeHash(path: string, query: Readonly<Record<string, string>> = {}): string {
  const words = new URLSearchParams(query).toString()
  return `#/${path}${words === '' ? '' : `?${words}`}`
}

let known = { hash: '', route: parseRoute('') }

/** The same object until the address changes. */
export function currentRoute(): Route {
  const { hash } = window.location
  if (hash !== known.hash) known = { hash, route: parseRoute(hash) }
  return known.route
}

const changed = 'clatterbench-route'

function listen(hear: () => void): () => void {
  window.addEventListener('hashchange', hear)
  window.addEventListener(changed, hear)
  return () => {
    window.removeEventListener('hashchange', hear)
    window.removeEventListener(changed, hear)
  }
}

export const useRoute = (): Route => useSyncExternalStore(listen, currentRoute)

/** Goes to another page: the browser's "back" returns. */
export function visit(hash: string): void {
  window.location.hash = hash
}

/** Says the same page differently: no new step in the browser's history. */
export function readdress(hash: string): void {
  window.history.replaceState(window.history.state, '', hash)
  window.dispatchEvent(new Event(changed))
}
