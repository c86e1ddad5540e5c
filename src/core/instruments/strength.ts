/**
 * How far a steel string is from breaking. Minimum tensile strength of music wire by diameter from signals/strengths.json
 * (between rows a power law joins them; thicker wire by the published fit), compared with the stress in the plain string or core.
 *
 * Alarm at 65 % of the minimum: Shigley, Mechanical Engineering Design, 9th ed., Table 10-5 puts the elastic limit of music wire in
 * tension at 65 to 75 % of its strength. Bends, kinks, rust and a sharp saddle all weaken a string: staying under the alarm is no promise.
 */
import strengths from '../../../signals/strengths.json'
import { type Reckoning, reckoned } from './reckoning.ts'
import { loadAreaM2, loadDiameterM, type StringMake, woundAssumes } from './stringmake.ts'

/** Share of the minimum strength from which a string is called out. */
export const alarmShare = 0.65

const pascalPerKsi = 6894757.293
const metresPerInch = 0.0254
const thickerAssumes = 'strength of wire over 0.026 in: a published fit instead of the table'

/** Pa; NaN under 0.004 in and over 6 mm, where no table or fit holds. */
export function minimumStrength(diameterM: number): Reckoning {
  const { rows, thicker } = strengths
  const inches = diameterM / metresPerInch
  // 0.026 in in metres and back is a last bit off.
  const inTable = inches <= rows[rows.length - 1].diameterIn * (1 + 1e-9)
  if (!inTable) {
    const mm = diameterM * 1000
    return mm > thicker.upToMm
      ? reckoned(Number.NaN, `strength of wire over ${thicker.upToMm} mm is not known here`)
      : reckoned(thicker.atOneMmMpa * mm ** thicker.exponent * 1e6, thickerAssumes)
  }
  const upper = Math.max(
    rows.findIndex((row) => inches <= row.diameterIn * (1 + 1e-9)),
    1,
  )
  const [low, high] = [rows[upper - 1], rows[upper]]
  if (inches < low.diameterIn * (1 - 1e-9))
    return reckoned(Number.NaN, `strength of wire under ${low.diameterIn} in is not known here`)
  const exponent = Math.log(high.minKsi / low.minKsi) / Math.log(high.diameterIn / low.diameterIn)
  return reckoned(low.minKsi * (inches / low.diameterIn) ** exponent * pascalPerKsi)
}

/** Least load that breaks it, N; NaN for a material of unknown strength. */
export function breakingLoad(make: StringMake): Reckoning {
  if (!make.load.musicWire) return reckoned(Number.NaN, `strength of ${make.load.id} is not known here`)
  const strengthPa = minimumStrength(loadDiameterM(make))
  const assumes = make.core === null ? strengthPa.assumes : [woundAssumes, ...strengthPa.assumes]
  return reckoned(strengthPa.value * loadAreaM2(make), ...assumes)
}

/** Semitones up from here until the share of strength reaches the alarm; negative: it is past it. */
export const semitonesToAlarm = (share: number): number => 6 * Math.log2(alarmShare / share)
