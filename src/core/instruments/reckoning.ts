/**
 * A figure that says what it rests on. `computed`: a formula over stated diameters and handbook values. `estimate`: at least one
 * input was assumed; each assumption is named in words a page can show as it stands.
 */
export interface Reckoning {
  /** NaN: there is no value, and `assumes` says why. */
  readonly value: number
  readonly status: 'computed' | 'estimate'
  /** Empty for a computed figure. No sentence stands twice. */
  readonly assumes: readonly string[]
}

export const reckoned = (value: number, ...assumes: readonly string[]): Reckoning => ({
  value,
  status: assumes.length === 0 ? 'computed' : 'estimate',
  assumes: [...new Set(assumes)],
})
