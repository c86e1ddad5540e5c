/** The instruments: strings, gauges, tuning, and what a change of them does. Fetched when it is first opened. */
import { lazy, Suspense } from 'react'
import type { Page } from './page.ts'

const InstrumentsView = lazy(async () => ({
  default: (await import('../instruments/InstrumentsView.tsx')).InstrumentsView,
}))

function InstrumentsPage() {
  return (
    <Suspense fallback={<main className="content">Opening the instruments</main>}>
      <InstrumentsView />
    </Suspense>
  )
}

export const instrumentsPage: Page = { path: 'instruments', title: 'Instruments', Page: InstrumentsPage }
