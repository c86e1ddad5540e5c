/** A one-sided power density: its sum times `binHz` is the mean square of the signal. */
export interface Spectrum {
  /** Bin i speaks of i * binHz. */
  readonly binHz: number
  /** Take units squared per Hz, from 0 Hz to half the sample rate, both included. */
  readonly density: Float64Array
}
