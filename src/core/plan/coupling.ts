/**
 * What turning one string does to the others, in cents of the string per cent of the one that is turned.
 *
 * Fixed bridge: neck and top give a little, every other string loses the same small share. Floating bridge: strings pull
 * against springs; with string stiffness K_i = E A_i / L and bridge springs k_b, winding lengths u change the tensions by
 * dT = (diag K - K K^t / (k_b + sum K)) u (equilibrium of a bridge that moves along the strings; rotation, knife edges and
 * friction are left out). Cents go with dT / (2 T).
 *
 * Tuning string after string to its note is Gauss-Seidel on this matrix. It converges when the spectral radius of that
 * iteration is below 1; with the same k between all of n strings that fails above k = 1/(n - 1).
 */
import { solveLeastSquares } from '../maths/leastsquares.ts'
import { Problem } from '../problem.ts'

/** Row-major n x n: entry [j * n + i] is the change of string j per cent of change of string i; the diagonal is 1. */
export interface Coupling {
  readonly n: number
  readonly matrix: Float64Array
  /** Cents a degree of the peg makes, over those on a rigid bridge: below 1 where the bridge gives. */
  readonly yielding: Float64Array
}

export function fixedCoupling(n: number, share: number): Coupling {
  const matrix = new Float64Array(n * n).fill(-share)
  for (let i = 0; i < n; i++) matrix[i * n + i] = 1
  return checkedCoupling({ n, matrix, yielding: new Float64Array(n).fill(1) })
}

/** `stiffnessNPerMm`: E A / L of each string; `tensionN`: its tension. @throws Problem when tuning in passes would diverge. */
export function floatingCoupling(
  strings: readonly { readonly stiffnessNPerMm: number; readonly tensionN: number }[],
  bridgeNPerMm: number,
): Coupling {
  const n = strings.length
  const total = strings.reduce((sum, { stiffnessNPerMm }) => sum + stiffnessNPerMm, bridgeNPerMm)
  const matrix = new Float64Array(n * n)
  const yielding = Float64Array.from(strings, ({ stiffnessNPerMm }) => 1 - stiffnessNPerMm / total)
  for (let i = 0; i < n; i++) {
    const turned = strings[i]
    for (let j = 0; j < n; j++) {
      const other = strings[j]
      matrix[j * n + i] =
        i === j ? 1 : (-(other.stiffnessNPerMm / total / yielding[i]) * turned.tensionN) / other.tensionN
    }
  }
  return checkedCoupling({ n, matrix, yielding })
}

/** Passes shrink what is left by this factor in the long run; 1 and more: never. */
export function passRadius({ n, matrix }: Coupling): number {
  // Power iteration on the Gauss-Seidel error map; twice as many steps would move the third digit for n = 12.
  const residual = Float64Array.from({ length: n }, (_, i) => 1 + 0.1 * i)
  let radius = 0
  for (let step = 0; step < 60; step++) {
    for (let i = 0; i < n; i++) {
      const turn = -residual[i]
      for (let j = 0; j < n; j++) residual[j] += matrix[j * n + i] * turn
    }
    const size = Math.sqrt(residual.reduce((sum, value) => sum + value * value, 0) / n)
    if (size === 0) return 0
    radius = step === 0 ? size : Math.sqrt(radius * size)
    for (let i = 0; i < n; i++) residual[i] /= size
  }
  return radius
}

function checkedCoupling(coupling: Coupling): Coupling {
  const radius = passRadius(coupling)
  if (radius < 1) return coupling
  throw new Problem(
    `each pass over the strings would leave ${radius.toFixed(2)} times what was off before: the strings pull each other out of tune faster than they are tuned`,
    'coupling',
  )
}

/** Turns (cents of each own string) that bring all residuals to zero together; null: no turns would. */
export const turnsTogether = (
  { n, matrix }: Pick<Coupling, 'n' | 'matrix'>,
  residual: Float64Array,
): Float64Array | null =>
  solveLeastSquares(
    matrix,
    residual.map((cents) => -cents),
    n,
    n,
  )
