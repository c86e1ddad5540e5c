/**
 * The import rule, read off the import lines: which folder may see which. A method cannot see the truth, the numbers
 * cannot see a page, and only the command line sees Node.
 */
import { readdirSync, readFileSync } from 'node:fs'
import { dirname, join, normalize, relative } from 'node:path'
import { fileURLToPath } from 'node:url'
import { describe, expect, it } from 'vitest'

const root = join(dirname(fileURLToPath(import.meta.url)), '../..')

/** Folder -> folders of ours it may import from, besides itself. The longest matching folder holds. */
const mayImport: Readonly<Record<string, readonly string[]>> = {
  'src/core': [],
  'src/core/maths': [],
  'src/core/scene': ['src/core/maths', 'src/core'],
  'src/core/instruments': ['src/core/maths', 'src/core', 'signals'],
  'src/core/methods': ['src/core/maths', 'src/core'],
  'src/core/score': [
    'src/core/maths',
    'src/core',
    'types:src/core/scene',
    'types:src/core/methods',
    'types:src/core/study',
  ],
  'src/core/study': [
    'src/core',
    'src/core/maths',
    'src/core/scene',
    'src/core/methods',
    'src/core/score',
    'src/core/instruments',
    'signals',
  ],
  'src/core/plan': [
    'src/core',
    'src/core/maths',
    'src/core/instruments',
    'src/core/methods',
    'src/core/score',
    'src/core/study',
  ],
  'src/core/drill': [
    'src/core',
    'src/core/maths',
    'src/core/scene',
    'src/core/instruments',
    'src/core/methods',
    'src/core/score',
    'src/core/study',
    'src/core/plan',
  ],
  'src/core/room': [
    'src/core',
    'src/core/maths',
    'src/core/instruments',
    'src/core/methods',
    'src/core/score',
    'src/core/study',
    'types:src/core/scene',
  ],
  'src/host': ['src/core/*'],
  worklets: ['src/core/*', 'src/host'],
  'src/cli': ['src/core/*', 'src/host', 'signals'],
  'src/app': ['src/core/*', 'src/host', 'signals', 'worklets'],
}
const folders = Object.keys(mayImport).sort((a, b) => b.length - a.length)

const packagesOf: Readonly<Record<string, readonly RegExp[]>> = {
  'src/core': [/^zod/],
  'src/core/maths': [/^fft\.js$/, /^pure-rand/, /^@stdlib\//],
  'src/core/scene': [/^zod/],
  'src/core/instruments': [/^zod/],
  'src/core/methods': [/^pitchfinder$/, /^pitchy$/],
  'src/core/score': [],
  'src/core/study': [/^zod/],
  'src/core/plan': [],
  'src/core/drill': [/^zod/],
  'src/core/room': [],
  'src/host': [],
  worklets: [],
}

interface Import {
  readonly file: string
  readonly folder: string
  readonly target: string
  readonly typeOnly: boolean
}

function importsOf(file: string): Import[] {
  const text = readFileSync(join(root, file), 'utf8')
  const lines = text.matchAll(
    /^(import|export)(\s+type)?\b[^'"`;]*?from\s+['"]([^'"]+)['"]|^import\s+['"]([^'"]+)['"]|\bimport\(\s*['"]([^'"]+)['"]/gm,
  )
  return [...lines].map((match) => {
    const raw = (match[3] ?? match[4] ?? match[5] ?? '').replace(/\?.*$/, '')
    const target = raw.startsWith('.') ? normalize(join(dirname(file), raw)) : raw
    return { file, folder: folderOf(file) ?? '', target, typeOnly: match[2] !== undefined }
  })
}

const folderOf = (file: string): string | undefined => folders.find((folder) => file.startsWith(`${folder}/`))

function allowed({ folder, target, typeOnly }: Import): boolean {
  if (!/^(src|worklets|signals|tests)\//.test(target)) {
    const rule = packagesOf[folder]
    return rule === undefined || rule.some((pattern) => pattern.test(target))
  }
  const to = target.startsWith('signals/') ? 'signals' : folderOf(target)
  if (to === folder) return true
  return (mayImport[folder] ?? []).some((entry) => {
    if (entry.startsWith('types:')) return typeOnly && entry.slice(6) === to
    if (entry.endsWith('/*')) return to !== undefined && `${to}/`.startsWith(entry.slice(0, -1))
    return entry === to
  })
}

const sources = ['src', 'worklets'].flatMap((top) =>
  readdirSync(join(root, top), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.tsx?$/.test(entry.name))
    .map((entry) => relative(root, join(entry.parentPath, entry.name))),
)

describe('import rule', () => {
  it('reads a tree worth the name', () => {
    expect(sources.length).toBeGreaterThan(40)
    expect(sources.flatMap(importsOf).length).toBeGreaterThan(100)
  })

  it('knows a forbidden import when it sees one', () => {
    const seen = { file: 'x', folder: 'src/core/methods', typeOnly: true }
    expect(allowed({ ...seen, target: 'src/core/scene/scene.ts' })).toBe(false)
    expect(allowed({ ...seen, target: 'node:fs' })).toBe(false)
    expect(allowed({ ...seen, target: 'src/core/maths/units.ts' })).toBe(true)
    expect(allowed({ ...seen, folder: 'src/core/score', typeOnly: false, target: 'src/core/scene/scene.ts' })).toBe(
      false,
    )
  })

  it('holds for every import line', () => {
    const broken = sources.flatMap(importsOf).filter((line) => !allowed(line))
    expect(broken.map((line) => `${line.file} imports ${line.target}`)).toEqual([])
  })

  it('keeps Node out of everything but the command line', () => {
    const broken = sources
      .flatMap(importsOf)
      .filter((line) => line.target.startsWith('node:') && !line.file.startsWith('src/cli/'))
    expect(broken.map((line) => `${line.file} imports ${line.target}`)).toEqual([])
  })
})
