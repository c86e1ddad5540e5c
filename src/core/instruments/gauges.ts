/** Gauge sets by name from signals/gauges.json, and strings as things from their diameters. */
import gaugeList from '../../../signals/gauges.json'
import { Problem } from '../problem.ts'
import type { Gauge, Gauges } from './instrument.ts'
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
  const set = typeof gauges === 'string' ? gaugeSetById(gauges, where) : gauges
  return set.strings.map((gauge, index) => stringMake(gauge, set.materials, where, index))
}

function stringMake(gauge: Gauge, materials: Gauges['materials'], where: string, index: number): StringMake {
  const diameterM = gauge.diameterIn * metresPerInch
  if (gauge.coreIn === undefined)
    return { diameterM, core: null, load: loadMaterialById(materials.plain, `${where}.materials.plain`) }
  if (gauge.coreIn >= gauge.diameterIn)
    throw new Problem(
      `a core of ${gauge.coreIn} in leaves no wrap on a string of ${gauge.diameterIn} in`,
      `${where}.strings.${index}.coreIn`,
    )
  return {
    diameterM,
    core: {
      diameterM: gauge.coreIn * metresPerInch,
      wrap: wrapMaterialById(materials.wrap, `${where}.materials.wrap`),
    },
    load: loadMaterialById(materials.core, `${where}.materials.core`),
  }
}
