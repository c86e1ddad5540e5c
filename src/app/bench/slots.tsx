/**
 * Twelve slots of colour, dash and marker. A method's slot is its place in the core's list, so it looks the same on every
 * page and never moves. Smallest CIEDE2000 between two slots is 9.9 under full protanopia; markers never repeat, so
 * colour never tells anything alone. Methods past the twelfth take the colours again, each with a marker and a dash that
 * stood at another colour: no two of 144 look alike, but from there on it takes colour and marker together.
 */
import { methods } from '../../core/methods/index.ts'
import { methodNames } from '../../core/score/summary.ts'
import { methodIdOf } from '../run/names.ts'
import { useBench } from '../store.ts'

type MarkerShape =
  | 'disc'
  | 'square'
  | 'triangle-up'
  | 'diamond'
  | 'triangle-down'
  | 'plus'
  | 'ring'
  | 'open-square'
  | 'open-triangle-up'
  | 'open-diamond'
  | 'open-triangle-down'
  | 'cross'

export interface Slot {
  readonly colour: string
  readonly dash: string | undefined
  readonly marker: MarkerShape
}

const solid = undefined
const slots: readonly Slot[] = [
  { colour: '#5DCAB7', dash: solid, marker: 'disc' },
  { colour: '#D9AF21', dash: solid, marker: 'square' },
  { colour: '#777CD2', dash: '1.5 4', marker: 'triangle-up' },
  { colour: '#DDF3BE', dash: '10 4 2 4', marker: 'diamond' },
  { colour: '#957D96', dash: '10 4 2 4', marker: 'triangle-down' },
  { colour: '#C67577', dash: '9 4', marker: 'plus' },
  { colour: '#B8B880', dash: '1.5 4', marker: 'ring' },
  { colour: '#F1EE72', dash: '9 4', marker: 'open-square' },
  { colour: '#C8F2F8', dash: '1.5 4', marker: 'open-triangle-up' },
  { colour: '#C7C3F9', dash: '9 4', marker: 'open-diamond' },
  { colour: '#6F9510', dash: '10 4 2 4', marker: 'open-triangle-down' },
  { colour: '#B493FB', dash: solid, marker: 'cross' },
]

const place = new Map(methods.map((method, index) => [method.id, index]))

/** Seven and twelve have no common factor: the marker of a colour comes back in the thirteenth round only. */
const markerShift = 7

/**
 * Of a method's id or its name in the study that is open. The same method with other settings, or behind a display, keeps its
 * colour and takes the marks of further rounds. Unknown ids look like the first method.
 */
export function slotOf(name: string): Slot {
  const index = place.get(methodIdOf(name)) ?? 0
  const round = Math.floor(index / slots.length) + roundsTaken * variantOf(name)
  const { colour } = slots[index % slots.length] as Slot
  const { dash, marker } = slots[(index + markerShift * round) % slots.length] as Slot
  return { colour, dash, marker }
}

const roundsTaken = Math.ceil(methods.length / slots.length)

/** Its place among the choices of the same method in the open study. */
function variantOf(name: string): number {
  const id = methodIdOf(name)
  const { methods: chosen } = useBench.getState().study
  const own = chosen.filter((choice) => choice.id === id)
  if (own.length < 2) return 0
  const nameIn = methodNames(chosen)
  return Math.max(
    0,
    own.findIndex((choice) => nameIn(choice) === name),
  )
}

/** Outlines in a box of 2 x 2 around 0, scaled by the radius; disc and ring are circles. */
export const outlines: Partial<Record<MarkerShape, string>> = {
  square: 'M-.85-.85H.85V.85H-.85Z',
  'open-square': 'M-.85-.85H.85V.85H-.85Z',
  'triangle-up': 'M0-1.1 1.05.8H-1.05Z',
  'open-triangle-up': 'M0-1.1 1.05.8H-1.05Z',
  'triangle-down': 'M0 1.1 1.05-.8H-1.05Z',
  'open-triangle-down': 'M0 1.1 1.05-.8H-1.05Z',
  diamond: 'M0-1.25 1.25 0 0 1.25-1.25 0Z',
  'open-diamond': 'M0-1.25 1.25 0 0 1.25-1.25 0Z',
  plus: 'M-1.2 0H1.2M0-1.2V1.2',
  cross: 'M-.9-.9.9.9M-.9.9.9-.9',
}

/** The method's mark at (x, y), with a rim of ground so that it stands clear of lines. */
export function Mark(props: { slot: Slot; x: number; y: number; radius?: number }) {
  const { slot, x, y, radius = 5 } = props
  const rim = 'var(--ground)'
  const at = `translate(${x} ${y}) scale(${radius})`
  if (slot.marker === 'disc') {
    return <circle cx={x} cy={y} r={radius} fill={slot.colour} stroke={rim} strokeWidth={1.2} />
  }
  if (slot.marker === 'ring') {
    return <circle cx={x} cy={y} r={radius - 0.6} fill={rim} stroke={slot.colour} strokeWidth={2} />
  }
  const outline = outlines[slot.marker]
  if (slot.marker === 'plus' || slot.marker === 'cross') {
    return (
      <g transform={at} fill="none">
        <path d={outline} stroke={rim} strokeWidth={5.2 / radius} />
        <path d={outline} stroke={slot.colour} strokeWidth={2.6 / radius} />
      </g>
    )
  }
  const open = slot.marker.startsWith('open')
  return (
    <g transform={at}>
      <path
        d={outline}
        fill={open ? rim : slot.colour}
        stroke={open ? slot.colour : rim}
        strokeWidth={(open ? 2 : 1.2) / radius}
      />
    </g>
  )
}

/** The mark in a line of text. */
export function MarkIcon(props: { methodId: string; dim?: boolean }) {
  return (
    <svg className="mark-icon" width="18" height="18" viewBox="-9 -9 18 18" aria-hidden="true">
      <Mark slot={slotOf(props.methodId)} x={0} y={0} radius={5.5} />
    </svg>
  )
}
