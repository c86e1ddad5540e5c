/**
 * What the strings end on: a bridge that gives way at the modes of the body (or of neck and body of a solid instrument).
 *
 * Admittance Y(w) = sum of (i w / m) / (w_m^2 - w^2 + i w w_m / Q) over modes of mass m. A string of impedance Z reflects
 * there with -(1 - 2 Z Y) (|Z Y| << 1), so over a round trip of 1 / f0 partial k is turned by -2 Z Im Y, which pulls it by
 * -(1200 / ln 2) Z Im Y / (pi k) = -551 Z Im Y / k cents, and loses 2 Z Re Y of its amplitude: 2 Z f0 Re Y more decay a second
 * (Fletcher & Rossing, Physics of Musical Instruments, sections 2.12 and 9; Woodhouse 2004, Acta Acustica 90:928-944). Below
 * a mode the bridge is a spring and flattens, above it a mass and sharpens. Not good where a partial meets a light mode so
 * well that Z Y nears 1: both then lose their identity.
 */
import type { Field, Values } from '../fields.ts'

export const bodyFields = {
  impedanceKgPerS: {
    default: 0.5,
    min: 0,
    max: 5,
    unit: 'kg/s',
    help: 'Impedance of the string, 2 mu L f: 0.25 for a thin treble, 1 for a thick low string.',
  },
  quality: { default: 25, min: 5, max: 100, unit: 'ratio', help: 'How sharp the modes are.' },
} as const satisfies Record<string, Field>

export interface Mode {
  readonly frequencyHz: number
  /** Effective at the bridge. */
  readonly massKg: number
}

export const bodyIds = ['acoustic', 'solid'] as const

export interface BodyChoice extends Values<typeof bodyFields> {
  readonly id: (typeof bodyIds)[number]
}

/**
 * Hollow: air A0 near 100 Hz under top plate T1 near 200 Hz (published order: A0 90-105, T1 170-220 Hz; Christensen & Vistisen
 * 1980, JASA 68:758-766); the four above and all masses are assumptions. Solid: all assumptions.
 */
export const modeSets: Readonly<Record<BodyChoice['id'], readonly Mode[]>> = {
  acoustic: [
    { frequencyHz: 100, massKg: 0.6 },
    { frequencyHz: 200, massKg: 0.2 },
    { frequencyHz: 295, massKg: 0.4 },
    { frequencyHz: 390, massKg: 0.3 },
    { frequencyHz: 515, massKg: 0.3 },
    { frequencyHz: 680, massKg: 0.25 },
  ],
  solid: [
    { frequencyHz: 55, massKg: 6 },
    { frequencyHz: 160, massKg: 5 },
    { frequencyHz: 372, massKg: 4 },
    { frequencyHz: 472, massKg: 4 },
  ],
}

/** Velocity over force at the bridge, m/s per N. */
export function admittance({ id, quality }: BodyChoice, hz: number): { readonly re: number; readonly im: number } {
  let re = 0
  let im = 0
  const w = 2 * Math.PI * hz
  for (const { frequencyHz, massKg } of modeSets[id]) {
    const own = 2 * Math.PI * frequencyHz
    const spring = own * own - w * w
    const loss = (w * own) / quality
    // i w / (spring + i loss) = w (loss + i spring) / (spring^2 + loss^2).
    const size = w / (massKg * (spring * spring + loss * loss))
    re += size * loss
    im += size * spring
  }
  return { re, im }
}

/** 1200 / (pi ln 2). */
const centsPerTurn = 1200 / (Math.PI * Math.LN2)

/** What the body does to partial `k` at `hz` of a string whose periods come `f0Hz` a second. */
export function bodyEffect(
  body: BodyChoice,
  k: number,
  hz: number,
  f0Hz: number,
): { readonly pullCents: number; readonly decayPerS: number } {
  const { re, im } = admittance(body, hz)
  const z = body.impedanceKgPerS
  return { pullCents: (-centsPerTurn * z * im) / k, decayPerS: 2 * z * f0Hz * re }
}
