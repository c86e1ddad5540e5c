/** What stands in the header of a saved run. */
import manifest from '../../../package.json'

export const appVersion: string = manifest.version

/** Such as `Chromium 156`: continuous readings differ in the last bits between engines. */
export function engine(): string {
  const found = /(Firefox|Edg|Chrome|Version)\/(\d+)/.exec(navigator.userAgent)
  if (found === null) return 'browser'
  const names: Record<string, string> = { Firefox: 'Gecko', Edg: 'Chromium', Chrome: 'Chromium', Version: 'WebKit' }
  return `${names[found[1] ?? ''] ?? 'browser'} ${found[2]}`
}
