/**
 * Tables of the ziggurat for the normal density: 256 layers of equal area under f(x) = exp(-x^2 / 2), x >= 0.
 *
 * Marsaglia & Tsang 2000, J. Stat. Softw. 5(8): rightmost edge r and layer area v solve r f(r) + tail(r) = v together
 * with the top layer closing at f(0) = 1. Built with portable functions, so that every engine has the same tables.
 */
import { exp, ln } from './portable.ts'

export const layerCount = 256

/** r for 256 layers (Marsaglia & Tsang 2000, section 2). */
export const tailStart = 3.6541528853610088

/** v = r f(r) + tail(r), integrated to full precision; the paper prints it as 0.00492867323399, which is 1.5e-14 too much. */
export const layerArea = 0.004928673233974655

/** f without its factor: exp(-x^2 / 2). */
export const bell = (x: number): number => exp(-0.5 * x * x)

/**
 * Layer i reaches from 0 to `edge[i]` and from height `height[i]` up to `height[i + 1]`, widest first.
 * Layer 0 stands for the base strip with the tail: its edge is the width v / f(r) that gives it the common area.
 * `edge` and `height` hold one entry more than there are layers: edge 0 at height 1.
 */
export function zigguratTables(): { readonly edge: Float64Array; readonly height: Float64Array } {
  const edge = new Float64Array(layerCount + 1)
  const height = new Float64Array(layerCount + 1)
  edge[0] = layerArea / bell(tailStart)
  edge[1] = tailStart
  height[1] = bell(tailStart)
  for (let i = 2; i < layerCount; i++) {
    height[i] = height[i - 1] + layerArea / edge[i - 1]
    edge[i] = Math.sqrt(-2 * ln(height[i]))
  }
  height[layerCount] = 1
  return { edge, height }
}
