/**
 * What every browser test stands on: finds a Chromium, builds a page the way the product is built, serves it with the two
 * isolation headers on a free port, and opens it. Nothing is downloaded.
 *
 * Without a browser `browserPath` is null and tests skip themselves: `describe.skipIf(browserPath === null)`.
 */
import { spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { createServer } from 'node:net'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { type Browser, type BrowserContext, type BrowserContextOptions, chromium, type Page } from 'playwright-core'
import { build, type InlineConfig, preview } from 'vite'

const root = join(dirname(fileURLToPath(import.meta.url)), '../..')

const answers = (path: string): boolean => spawnSync(path, ['--version'], { timeout: 20_000 }).status === 0

/** CHROME_PATH, or the first of the usual names on PATH that answers; null: none, said loudly once. */
export const browserPath: string | null = (() => {
  const names = [process.env.CHROME_PATH, 'chromium', 'chromium-browser', 'google-chrome']
  const found = names.find((name) => name !== undefined && name !== '' && answers(name)) ?? null
  if (found === null) console.warn('SKIPPED: no Chromium (set CHROME_PATH, or put chromium on PATH)')
  return found
})()

/** Headless, as root, without network chatter; sound may start without a click unless a test takes that flag away. */
const flags = [
  '--no-sandbox',
  '--disable-gpu',
  '--autoplay-policy=no-user-gesture-required',
  '--disable-background-networking',
  '--disable-component-update',
  '--disable-sync',
  '--no-first-run',
]

/** A name on PATH is given to the system to find: Playwright itself wants a path. */
function executable(): string {
  if (browserPath === null) throw new Error('no browser')
  if (browserPath.includes('/')) return browserPath
  return spawnSync('sh', ['-c', `command -v ${browserPath}`], { encoding: 'utf8' }).stdout.trim()
}

export const launchBrowser = (extraFlags: readonly string[] = []): Promise<Browser> =>
  chromium.launch({ executablePath: executable(), args: [...flags, ...extraFlags] })

/** What Playwright asks for so that a tab out of sight goes on as if it were seen. */
const neverHidden = [
  '--disable-background-timer-throttling',
  '--disable-backgrounding-occluded-windows',
  '--disable-renderer-backgrounding',
]

export interface TabbedBrowser {
  /** Its pages are tabs of one window. */
  readonly context: BrowserContext
  close(): Promise<void>
}

/**
 * A browser as a person has it: a tab behind another is hidden and its timers are slowed. Playwright tells every page that it
 * opens that it has the focus, which makes it visible; only over a connection of its own can it be asked not to.
 */
export async function launchTabbed(extraFlags: readonly string[]): Promise<TabbedBrowser> {
  const port = await freePort()
  const browser = await chromium.launch({
    executablePath: executable(),
    args: [...flags, ...extraFlags, `--remote-debugging-port=${port}`],
    ignoreDefaultArgs: neverHidden,
  })
  const connected = await chromium.connectOverCDP(`http://127.0.0.1:${port}`, { noDefaults: true })
  const [context] = connected.contexts()
  if (context === undefined) throw new Error('the browser has no window')
  return {
    context,
    async close() {
      await connected.close()
      await browser.close()
    },
  }
}

const freePort = (): Promise<number> =>
  new Promise((resolve, reject) => {
    const server = createServer()
    server.on('error', reject)
    server.listen(0, '127.0.0.1', () => {
      const address = server.address()
      server.close(() => resolve(typeof address === 'object' && address !== null ? address.port : 0))
    })
  })

export interface Site {
  /** Ends in a slash. */
  readonly url: string
  close(): Promise<void>
}

/** Serves what `config` builds: from `built`, or, without it, built now into a folder of its own. `isolated` false leaves the headers out. */
async function serve(config: InlineConfig, isolated: boolean, built?: string): Promise<Site> {
  const outDir = built ?? mkdtempSync(join(tmpdir(), 'e2e-'))
  const headers = isolated
    ? { 'Cross-Origin-Opener-Policy': 'same-origin', 'Cross-Origin-Embedder-Policy': 'require-corp' }
    : { 'Cross-Origin-Opener-Policy': 'unsafe-none', 'Cross-Origin-Embedder-Policy': 'unsafe-none' }
  const whole: InlineConfig = {
    ...config,
    logLevel: 'error',
    build: { ...config.build, outDir, emptyOutDir: true },
    preview: { host: '127.0.0.1', port: 0, strictPort: false, headers },
  }
  if (built === undefined) await build(whole)
  const server = await preview(whole)
  const address = server.httpServer.address()
  if (address === null || typeof address === 'string') throw new Error('the server has no port')
  return {
    url: `http://127.0.0.1:${address.port}/`,
    async close() {
      await server.close()
      if (built === undefined) rmSync(outDir, { recursive: true, force: true })
    },
  }
}

/** The product's own page, built by the product's own configuration: under vitest once a run (pagesbuilt.ts), else now. */
export const servePages = (isolated = true): Promise<Site> =>
  serve({ configFile: join(root, 'vite.config.ts') }, isolated, process.env.E2E_PAGES)

/** The page of tests/e2e/harness, which carries test code so that the product need not. */
export const serveHarness = (isolated = true): Promise<Site> => serveFolder('tests/e2e/harness', isolated)

/** A page of a folder of this checkout. */
export const serveFolder = (folder: string, isolated = true): Promise<Site> =>
  serve(
    {
      configFile: false,
      root: join(root, folder),
      base: './',
      worker: { format: 'es' },
      build: { target: 'es2022', minify: false },
    },
    isolated,
  )

export interface OpenedPage {
  readonly page: Page
  /** Errors of the page and of its console, and requests that failed or left the site. A good test ends with none. */
  readonly problems: string[]
  close(): Promise<void>
}

/** Opens `path` of a site in a context of its own (no storage is shared between two); `prepare` comes before the page does. */
export async function openPage(
  browser: Browser,
  site: Site,
  path = '',
  options: BrowserContextOptions = {},
  prepare: (page: Page) => Promise<void> = async () => {},
): Promise<OpenedPage> {
  const context = await browser.newContext(options)
  return { ...(await openTab(context, site, path, prepare)), close: () => context.close() }
}

/** The same as one more tab of a context. */
export async function openTab(
  context: BrowserContext,
  site: Site,
  path: string,
  prepare: (page: Page) => Promise<void>,
): Promise<OpenedPage> {
  const page = await context.newPage()
  const problems: string[] = []
  page.on('pageerror', (error) => problems.push(`page: ${error.message}`))
  page.on('console', (message) => {
    if (message.type() === 'error') problems.push(`console: ${message.text()}`)
  })
  page.on('requestfailed', (request) => problems.push(`failed: ${request.url()}`))
  page.on('request', (request) => {
    const own = [site.url, 'data:', 'blob:'].some((start) => request.url().startsWith(start))
    if (!own) problems.push(`left the site: ${request.url()}`)
  })
  await prepare(page)
  await page.goto(site.url + path)
  return { page, problems, close: () => page.close() }
}
