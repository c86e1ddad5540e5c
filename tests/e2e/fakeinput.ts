/** The browser's fake input device fed from a file, and what every page test asks of a page that a thumb uses. */
import AxeBuilder from '@axe-core/playwright'
import type { Page } from 'playwright-core'

const rateHz = 48_000

/** Flags of a browser that may listen and hears this file once, or again and again, from when the page opens the device. */
export const fakeInput = (path: string, loop = false): readonly string[] => [
  '--use-fake-device-for-media-stream',
  '--use-fake-ui-for-media-stream',
  `--use-file-for-fake-audio-capture=${path}${loop ? '' : '%noloop'}`,
]

/** 16-bit PCM, one channel, 48 kHz: what the fake device reads (RIFF, Microsoft and IBM 1991). */
export function pcm16(samples: Float32Array): Buffer {
  const bytes = Buffer.alloc(44 + 2 * samples.length)
  bytes.write('RIFF', 0)
  bytes.writeUInt32LE(36 + 2 * samples.length, 4)
  bytes.write('WAVEfmt ', 8)
  bytes.writeUInt32LE(16, 16)
  bytes.writeUInt16LE(1, 20)
  bytes.writeUInt16LE(1, 22)
  bytes.writeUInt32LE(rateHz, 24)
  bytes.writeUInt32LE(2 * rateHz, 28)
  bytes.writeUInt16LE(2, 32)
  bytes.writeUInt16LE(16, 34)
  bytes.write('data', 36)
  bytes.writeUInt32LE(2 * samples.length, 40)
  for (const [i, sample] of samples.entries()) bytes.writeInt16LE(Math.round(sample * 32_767), 44 + 2 * i)
  return bytes
}

/** What axe calls serious or critical on the page as it stands. */
export async function seriousFaults(page: Page): Promise<string[]> {
  const { violations } = await new AxeBuilder({ page }).analyze()
  return violations
    .filter(({ impact }) => impact === 'serious' || impact === 'critical')
    .map(({ id, nodes }) => `${id} ${nodes[0]?.html}`)
}

/** Buttons and summaries under 48 px. */
export const smallTargets = (page: Page): Promise<string[]> =>
  page.evaluate(() =>
    [...document.querySelectorAll<HTMLElement>('main :is(button, summary)')]
      .filter((target) => target.offsetParent !== null)
      .filter((target) => target.offsetHeight < 48 || target.offsetWidth < 48)
      .map((target) => `${target.textContent} ${target.offsetWidth} x ${target.offsetHeight}`),
  )
