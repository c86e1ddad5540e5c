import { BenchPage } from '../bench/BenchPage.tsx'
import type { Page } from './page.ts'

export const benchPage: Page = { path: '', title: 'Bench', Page: BenchPage }
