/** Practice: a virtual peg, noise and a clock. Fetched when it is first opened. */
import { lazy, Suspense } from 'react'
import type { Page } from './page.ts'

const DrillView = lazy(async () => ({ default: (await import('../drill/DrillView.tsx')).DrillView }))

function DrillPage() {
  return (
    <Suspense fallback={<main className="content">Opening the drill</main>}>
      <DrillView />
    </Suspense>
  )
}

export const drillPage: Page = { path: 'drill', title: 'Drill', Page: DrillPage }
