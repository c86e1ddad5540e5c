import { describe, expect, it } from 'vitest'
import { invertSymmetric, solveLeastSquares } from '../../src/core/maths/leastsquares.ts'

// NIST/ITL Statistical Reference Datasets, Norris.dat (lower difficulty): y, x.
const norris = [
  [0.1, 0.2],
  [338.8, 337.4],
  [118.1, 118.2],
  [888, 884.6],
  [9.2, 10.1],
  [228.1, 226.5],
  [668.5, 666.3],
  [998.5, 996.3],
  [449.1, 448.6],
  [778.9, 777],
  [559.2, 558.2],
  [0.3, 0.4],
  [0.1, 0.6],
  [778.1, 775.5],
  [668.8, 666.9],
  [339.3, 338],
  [448.9, 447.5],
  [10.8, 11.6],
  [557.7, 556],
  [228.3, 228.1],
  [998, 995.8],
  [888.8, 887.6],
  [119.6, 120.2],
  [0.3, 0.3],
  [0.6, 0.3],
  [557.6, 556.8],
  [339.3, 339.1],
  [888, 887.2],
  [998.5, 999],
  [778.9, 779],
  [10.2, 11.1],
  [117.6, 118.3],
  [228.9, 229.2],
  [668.4, 669.1],
  [449.2, 448.9],
  [0.2, 0.5],
]

// Longley.dat (higher difficulty; Longley 1967, JASA 62:819-841): y, then six regressors.
const longley = [
  [60323, 83, 234289, 2356, 1590, 107608, 1947],
  [61122, 88.5, 259426, 2325, 1456, 108632, 1948],
  [60171, 88.2, 258054, 3682, 1616, 109773, 1949],
  [61187, 89.5, 284599, 3351, 1650, 110929, 1950],
  [63221, 96.2, 328975, 2099, 3099, 112075, 1951],
  [63639, 98.1, 346999, 1932, 3594, 113270, 1952],
  [64989, 99, 365385, 1870, 3547, 115094, 1953],
  [63761, 100, 363112, 3578, 3350, 116219, 1954],
  [66019, 101.2, 397469, 2904, 3048, 117388, 1955],
  [67857, 104.6, 419180, 2822, 2857, 118734, 1956],
  [68169, 108.4, 442769, 2936, 2798, 120445, 1957],
  [66513, 110.8, 444546, 4681, 2637, 121950, 1958],
  [68655, 112.6, 482704, 3813, 2552, 123366, 1959],
  [69564, 114.2, 502601, 3931, 2514, 125368, 1960],
  [69331, 115.7, 518173, 4806, 2572, 127852, 1961],
  [70551, 116.9, 554894, 4007, 2827, 130081, 1962],
]

/** Certified estimate and its certified standard deviation, for each parameter, constant first. */
const certified = {
  norris: [
    [-0.262323073774029, 0.232818234301152],
    [1.00211681802045, 0.000429796848199937],
  ],
  longley: [
    [-3482258.63459582, 890420.383607373],
    [15.0618722713733, 84.9149257747669],
    [-0.035819179292591, 0.0334910077722432],
    [-2.02022980381683, 0.488399681651699],
    [-1.03322686717359, 0.214274163161675],
    [-0.0511041056535807, 0.22607320006937],
    [1829.15146461355, 455.478499142212],
  ],
}

describe.each([
  // Condition 1e3 and 5e9 (Longley, not centred): digits lost of the 16 there are, for the fit; twice as many for the inverse
  // of the normal matrix, which is scaled first.
  ['norris', norris, certified.norris, 1e-12, 1e-9],
  ['longley', longley, certified.longley, 5e-7, 5e-7],
])('%s', (_, rows, expected, estimateTolerance, deviationTolerance) => {
  const m = rows.length
  const n = rows[0].length
  const a = Float64Array.from(rows.flatMap(([, ...x]) => [1, ...x]))
  const b = Float64Array.from(rows, ([y]) => y)
  const x = solveLeastSquares(a, b, m, n) ?? new Float64Array(n).fill(Number.NaN)

  it('estimates as certified', () => {
    x.forEach((value, i) => {
      expect(Math.abs(value / expected[i][0] - 1)).toBeLessThan(estimateTolerance)
    })
  })

  it('standard deviations as certified', () => {
    let squares = 0
    for (let row = 0; row < m; row++) {
      let residual = b[row]
      for (let i = 0; i < n; i++) residual -= a[row * n + i] * x[i]
      squares += residual * residual
    }
    const normal = new Float64Array(n * n)
    for (let row = 0; row < m; row++) {
      for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) normal[i * n + j] += a[row * n + i] * a[row * n + j]
    }
    const inverse = invertSymmetric(normal, n) ?? new Float64Array(n * n).fill(Number.NaN)
    for (let i = 0; i < n; i++) {
      const deviation = Math.sqrt((inverse[i * n + i] * squares) / (m - n))
      expect(Math.abs(deviation / expected[i][1] - 1)).toBeLessThan(deviationTolerance)
    }
  })
})
