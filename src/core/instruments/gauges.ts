/** Gauge sets by name from signals/gauges.json, and strings as things from their diameters. */
import gaugeList from '../../../signals/gauges.json'
import { Problem } from '../problem.ts'
import type { Gauges } from './instrument.ts'
import { loadMaterialById, wrapMaterialById } from './materials.ts'
import type { StringMake } from './stringmake.ts'

export interface GaugeSet extends Gauges {
  readonly id: string
  readonly title: string
}

export const gaugeSets: readonly GaugeSet[] = gaugeList.sets

/** What the sets assume, in words. */
export const gaugesNote: string = gaugeList.note

const metresPerInch = 0.0254

/** @throws Problem that lists the known ids. */
export function gaugeSetById(id: string, where = 'gauges'): GaugeSet {
  const set = gaugeSets.find((entry) => entry.id === id)
  if (set === undefined)
    throw new Problem(`no gauges "${id}"; known are ${gaugeSets.map((entry) => entry.id).join(', ')}`, where)
  return set
}

/** @throws Problem for an unknown set, an unknown material, or a core that leaves no room for a wrap. */
export function stringMakes(gauges: string | Gauges, where = 'gauges'): StringMake[] {
  const { materials, strings } = typeof gauges === 'string' ? gaugeSetById(gauges, where) : gauges
  // All three are looked up, used or not: an unknown name is refused, never ignored.
  const plain = loadMaterialById(materials.plain, `${where}.materials.plain`)
  const load = loadMaterialById(materials.core, `${where}.materials.core`)
  const wrap = wrapMaterialById(materials.wrap, `${where}.materials.wrap`)
  return strings.map(({ diameterIn, coreIn }, index) => {
    const diameterM = diameterIn * metresPerInch
    if (coreIn === undefined) return { diameterM, core: null, load: plain }
    if (coreIn >= diameterIn)
      throw new Problem(
        `a core of ${coreIn} in leaves no wrap on a string of ${diameterIn} in`,
        `${where}.strings.${index}.coreIn`,
      )
    return { diameterM, core: { diameterM: coreIn * metresPerInch, wrap }, load }
  })
}
