/**
 * One string as a thing: its diameters and materials, and the mass of a metre of it.
 *
 * Plain: mu = rho pi d^2/4. Wound: a round core and one layer of round wire of diameter w = (d - core)/2 whose turns touch each
 * other and the core. A turn is pi (core + w) long and w wide, so a metre of string carries rho pi^2 w (core + w)/4 of wrap, which
 * is pi/4 of the ring it fills (the slope of the turns, left out, adds up to 2 %). Real cores are often hexagonal, thick strings
 * have several layers and wraps are squeezed: the figure of a wound string is an estimate.
 */
import type { LoadMaterial, WrapMaterial } from './materials.ts'
import { type Reckoning, reckoned } from './reckoning.ts'

export interface PlainMake {
  readonly diameterM: number
  readonly core: null
  readonly load: LoadMaterial
}

export interface WoundMake {
  /** Over the wrap. */
  readonly diameterM: number
  readonly core: { readonly diameterM: number; readonly wrap: WrapMaterial }
  readonly load: LoadMaterial
}

export type StringMake = PlainMake | WoundMake

export const woundAssumes = 'wound string: round core of the stated diameter, one layer of round wire, turns touching'

/** kg/m. */
export function massPerLength(make: StringMake): Reckoning {
  const loadKgPerM = make.load.densityKgPerM3 * loadAreaM2(make)
  if (make.core === null) return reckoned(loadKgPerM, ...make.load.massAssumes)
  const wireM = (make.diameterM - make.core.diameterM) / 2
  const wrapKgPerM = (make.core.wrap.densityKgPerM3 * Math.PI ** 2 * wireM * (make.core.diameterM + wireM)) / 4
  return reckoned(loadKgPerM + wrapKgPerM, woundAssumes, ...make.load.massAssumes)
}

/** Diameter of what carries the load: the whole plain string, the core of a wound one. */
export const loadDiameterM = (make: StringMake): number => make.core?.diameterM ?? make.diameterM

export const loadAreaM2 = (make: StringMake): number => (Math.PI * loadDiameterM(make) ** 2) / 4

/** E A of what carries the load, N: the force that would stretch it to twice its length if it stayed elastic. */
export const axialStiffnessN = (make: StringMake): number => make.load.modulusPa(loadDiameterM(make)) * loadAreaM2(make)

/** "0.017 in plain", "0.046 in on a 0.016 in core". */
export function makeLabel(make: StringMake): string {
  const inches = (metres: number): string => `${Number((metres / 0.0254).toFixed(4))} in`
  if (make.core === null) return `${inches(make.diameterM)} plain`
  return `${inches(make.diameterM)} on a ${inches(make.core.diameterM)} core`
}
