/** Starts the page: the list of pages, the study the address names, and nothing else. */
import { StrictMode } from 'react'
import { createRoot } from 'react-dom/client'
import { aboutPage } from './pages/AboutPage.tsx'
import { benchPage } from './pages/BenchPage.tsx'
import { drillPage } from './pages/DrillPage.tsx'
import { handPage } from './pages/HandPage.tsx'
import { instrumentsPage } from './pages/InstrumentsPage.tsx'
import { planPage } from './pages/PlanPage.tsx'
import type { Page } from './pages/page.ts'
import { roomPage } from './pages/RoomPage.tsx'
import { trialPage } from './pages/TrialPage.tsx'
import { useRoute } from './router.ts'
import { start } from './run/session.ts'
import { Shell } from './shell.tsx'
import './style/tokens.css'
import './style/base.css'
import './style/shell.css'
import './style/controls.css'
import './style/bench.css'
import './style/benchparts.css'
import './style/charts.css'
import './style/table.css'
import './style/about.css'

const pages: readonly Page[] = [
  benchPage,
  trialPage,
  roomPage,
  planPage,
  drillPage,
  handPage,
  instrumentsPage,
  aboutPage,
]

function App() {
  const { path } = useRoute()
  const page = pages.find((one) => one.path === path) ?? benchPage
  return (
    <Shell pages={pages}>
      <page.Page />
    </Shell>
  )
}

const place = document.getElementById('page')
if (place !== null) {
  createRoot(place).render(
    <StrictMode>
      <App />
    </StrictMode>,
  )
  void start()
}
