/** A hand that is measured on a real instrument; reached from the plan. Fetched when it is first opened. */
import { lazy, Suspense } from 'react'
import type { Page } from './page.ts'

const HandView = lazy(async () => ({ default: (await import('../hand/HandView.tsx')).HandView }))

function HandPage() {
  return (
    <Suspense fallback={<main className="content">Opening the hand</main>}>
      <HandView />
    </Suspense>
  )
}

export const handPage: Page = { path: 'hand', title: null, Page: HandPage }
