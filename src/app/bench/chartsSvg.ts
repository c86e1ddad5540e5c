/**
 * The charts as one SVG file that stands alone: every picture at its place, texts of the page as text, colours and lines
 * written out, and below them the study, its seed and the units, so that the file can be read without the page.
 */

import type { Study } from '../../core/study/study.ts'
import {
  learntWords,
  methodsWords,
  ratiosWords,
  repeatsWords,
  roomsWords,
  steadyWords,
  stringsWords,
} from '../choices/words.ts'

/** Looks that come from style sheets and must travel with the file. */
const looks = [
  'fill',
  'fill-opacity',
  'stroke',
  'stroke-width',
  'stroke-dasharray',
  'stroke-linecap',
  'font-size',
  'font-weight',
  'paint-order',
]

const marginPx = 16

export function chartsSvg(place: HTMLElement, study: Study): string {
  const frame = place.getBoundingClientRect()
  const pieces: string[] = []
  const patterns = document.querySelector('.patterns defs')
  for (const picture of place.querySelectorAll<SVGSVGElement>('svg')) {
    if (picture.parentElement?.closest('svg') !== null && picture.parentElement?.closest('svg') !== undefined) continue
    const box = picture.getBoundingClientRect()
    if (box.width === 0) continue
    const copy = picture.cloneNode(true) as SVGSVGElement
    dress(picture, copy)
    copy.setAttribute('x', `${box.left - frame.left + marginPx}`)
    copy.setAttribute('y', `${box.top - frame.top + marginPx}`)
    copy.setAttribute('width', `${box.width}`)
    copy.setAttribute('height', `${box.height}`)
    copy.removeAttribute('style')
    copy.removeAttribute('class')
    pieces.push(new XMLSerializer().serializeToString(copy))
  }
  pieces.push(...texts(place, frame))
  const width = Math.ceil(frame.width) + 2 * marginPx
  const notes = notesOf(study)
  const height = Math.ceil(frame.height) + 2 * marginPx + notes.length * 18
  const noteLines = notes.map(
    (note, at) =>
      `<text x="${marginPx}" y="${height - marginPx - (notes.length - 1 - at) * 18}" fill="#BDB9B0" font-size="13">${escaped(note)}</text>`,
  )
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="${height}" viewBox="0 0 ${width} ${height}" font-family="system-ui, sans-serif">`,
    `<title>${escaped(notes[0] ?? '')}</title>`,
    patterns === null ? '' : new XMLSerializer().serializeToString(patterns),
    '<rect width="100%" height="100%" fill="#0D0F12"/>',
    ...pieces,
    ...noteLines,
    '</svg>\n',
  ].join('\n')
}

function notesOf(study: Study): string[] {
  return [
    `Clatterbench: ${stringsWords(study)} in ${roomsWords(study)} at ${ratiosWords(study)}, ${methodsWords(study)} ${learntWords(study)}, ${repeatsWords(study)} each, seed ${study.seed}.`,
    `Error: median |reading minus truth| in cents with 95 % bands. First steady in s after the pluck. Claims: ${steadyWords(study)}, true within ${study.claim.tolCents} c.`,
  ]
}

function dress(from: Element, to: Element): void {
  const style = getComputedStyle(from)
  if (from instanceof SVGElement && !(from instanceof SVGSVGElement)) {
    for (const look of looks) {
      const value = style.getPropertyValue(look)
      if (value !== '' && !value.startsWith('url')) to.setAttribute(look, value)
      else if (value.startsWith('url')) to.setAttribute(look, value.replace(/url\("?[^#]*#([^")]+)"?\)/, 'url(#$1)'))
    }
  }
  const children = [...from.children]
  for (const [at, child] of [...to.children].entries()) dress(children[at] as Element, child)
}

/** Texts of the page that stand outside of pictures. */
function texts(place: HTMLElement, frame: DOMRect): string[] {
  const found: string[] = []
  const walker = document.createTreeWalker(place, NodeFilter.SHOW_TEXT)
  for (let node = walker.nextNode(); node !== null; node = walker.nextNode()) {
    const holder = node.parentElement
    const text = node.textContent?.trim() ?? ''
    if (holder === null || text === '' || holder.closest('svg, .unseen, .bench-actions') !== null) continue
    const style = getComputedStyle(holder)
    const looks = `fill="${style.color}" font-size="${style.fontSize}" font-weight="${style.fontWeight}"`
    for (const { words, box } of linesOf(node)) {
      const x = box.left - frame.left + marginPx
      // Baseline: three quarters down a line box at this page's line heights.
      const y = box.top - frame.top + marginPx + box.height * 0.78
      found.push(`<text x="${x}" y="${y}" ${looks}>${escaped(words)}</text>`)
    }
  }
  return found
}

/** A text node's words, line by line as the page breaks them. */
function linesOf(node: Node): { words: string; box: DOMRect }[] {
  const lines: { words: string; box: DOMRect }[] = []
  const range = document.createRange()
  for (const match of (node.textContent ?? '').matchAll(/\S+/g)) {
    range.setStart(node, match.index)
    range.setEnd(node, match.index + match[0].length)
    const box = range.getBoundingClientRect()
    if (box.width === 0) continue
    const last = lines.at(-1)
    if (last !== undefined && Math.abs(last.box.top - box.top) < 2) last.words += ` ${match[0]}`
    else lines.push({ words: match[0], box })
  }
  return lines
}

const escaped = (text: string): string => text.replace(/[&<>"]/g, (letter) => `&#${letter.charCodeAt(0)};`)
