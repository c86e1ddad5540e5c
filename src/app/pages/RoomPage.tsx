/** The room as it is: a guided take, its figures, methods live. Fetched when it is first opened. */
import { lazy, Suspense } from 'react'
import type { Page } from './page.ts'

const RoomView = lazy(async () => ({ default: (await import('../room/RoomView.tsx')).RoomView }))

function RoomPage() {
  return (
    <Suspense fallback={<main className="content">Opening the room</main>}>
      <RoomView />
    </Suspense>
  )
}

export const roomPage: Page = { path: 'room', title: 'Room', Page: RoomPage }
