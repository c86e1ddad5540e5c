/** So many seconds for this instrument: which method first, when to change, when to stop. Fetched when it is first opened. */
import { lazy, Suspense } from 'react'
import type { Page } from './page.ts'

const PlanView = lazy(async () => ({ default: (await import('../plan/PlanView.tsx')).PlanView }))

function PlanPage() {
  return (
    <Suspense fallback={<main className="content">Opening the plan</main>}>
      <PlanView />
    </Suspense>
  )
}

export const planPage: Page = { path: 'plan', title: 'Plan', Page: PlanPage }
