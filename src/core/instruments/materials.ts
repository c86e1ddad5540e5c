/**
 * What strings are made of: the part that carries the load (plain string or core) and the wrap, which only adds mass.
 *
 * Music wire: density 7850 kg/m3 (carbon-steel wire, help.autodesk.com GUID-2504979C); modulus by diameter from Shigley,
 * Mechanical Engineering Design, 9th ed., Table 10-5; expansion 12e-6 per K (makeitfrom.com, ASTM A228). Other handbooks give
 * 190 GPa and 7800 kg/m3: stiffness is known to some 4 %. Nylon is not one material: Lynch-Aird & Woodhouse 2017 (Materials
 * 10:497) found its modulus a strong function of stress and of time, so every figure of nylon is an estimate.
 */
import { Problem } from '../problem.ts'

export interface LoadMaterial {
  readonly id: string
  readonly title: string
  readonly densityKgPerM3: number
  readonly modulusPa: (diameterM: number) => number
  readonly expansionPerK: number
  /** Whether the strength table of music wire holds for it; false: no strength is known. */
  readonly musicWire: boolean
  readonly source: string
  /** What is assumed about its mass, and about its elasticity. */
  readonly massAssumes: readonly string[]
  readonly elasticAssumes: readonly string[]
}

export interface WrapMaterial {
  readonly id: string
  readonly title: string
  readonly densityKgPerM3: number
  readonly source: string
}

const metresPerInch = 0.0254

/** Table 10-5 gives 29.5, 29.0, 28.5 and 28.0 Mpsi for d < 0.032, 0.033-0.063, 0.064-0.125 and > 0.125 in. */
const musicWireModulusPa = (diameterM: number): number => {
  const inches = diameterM / metresPerInch
  if (inches < 0.033) return 203.4e9
  if (inches < 0.064) return 200e9
  return inches <= 0.125 ? 196.5e9 : 193e9
}

const nylonElastic =
  'nylon: modulus 5 GPa, above the 2.6 to 3.2 GPa of bulk nylon because it is drawn and under tension'

export const loadMaterials: readonly LoadMaterial[] = [
  {
    id: 'music-wire',
    title: 'Music wire',
    densityKgPerM3: 7850,
    modulusPa: musicWireModulusPa,
    expansionPerK: 12e-6,
    musicWire: true,
    source: 'Shigley 9th ed. Table 10-5; carbon-steel wire 7850 kg/m3; ASTM A228 page of makeitfrom.com',
    massAssumes: [],
    elasticAssumes: [],
  },
  {
    id: 'nylon',
    title: 'Nylon, single strand',
    // Middle of 1120 to 1140.
    densityKgPerM3: 1130,
    modulusPa: () => 5e9,
    // Polyamide 6, matmatch.com good00049; other tables print up to 149e-6.
    expansionPerK: 95e-6,
    musicWire: false,
    source:
      'density and bulk modulus: Ashby, Materials and the Environment, polyamide data sheet; string modulus assumed',
    massAssumes: [
      'nylon: the diameter is taken as it stands under tension; a string measured slack is several percent lighter',
    ],
    elasticAssumes: [nylonElastic],
  },
  {
    id: 'nylon-filament',
    title: 'Nylon, stranded core',
    densityKgPerM3: 1130,
    modulusPa: () => 5e9,
    expansionPerK: 95e-6,
    musicWire: false,
    source: 'as nylon',
    massAssumes: ['stranded nylon core: taken as solid'],
    elasticAssumes: [
      nylonElastic,
      'stranded nylon core: its bending is taken as that of a solid one, which is too stiff',
    ],
  },
]

export const wrapMaterials: readonly WrapMaterial[] = [
  {
    id: 'plated-steel',
    title: 'Nickel-plated steel',
    densityKgPerM3: 7850,
    source: 'as steel; the plating is left out',
  },
  {
    id: 'nickel',
    title: 'Nickel',
    densityKgPerM3: 8800,
    source: 'table of metals, simetric.co.uk',
  },
  {
    id: 'phosphor-bronze',
    title: 'Phosphor bronze',
    densityKgPerM3: 8860,
    source: 'C51000, 0.320 lb/in3 (ASTM B139 data sheet)',
  },
  {
    id: 'silvered-copper',
    title: 'Silver-plated copper',
    densityKgPerM3: 8930,
    source: 'copper, table of metals, simetric.co.uk; the plating is left out',
  },
]

/** @throws Problem that lists the known ids. */
export const loadMaterialById = (id: string, where: string): LoadMaterial => found(loadMaterials, id, where)

/** @throws Problem that lists the known ids. */
export const wrapMaterialById = (id: string, where: string): WrapMaterial => found(wrapMaterials, id, where)

function found<T extends { readonly id: string }>(list: readonly T[], id: string, where: string): T {
  const material = list.find((entry) => entry.id === id)
  if (material === undefined)
    throw new Problem(`no such material "${id}"; known are ${list.map((entry) => entry.id).join(', ')}`, where)
  return material
}
