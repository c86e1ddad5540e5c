/**
 * partials.csv: the partials at the onset, as they are heard. What only some strings have gets its column only where one
 * of them has it, so that a plain string's table stays four columns wide.
 */
import type { Partial } from '../core/scene/scene.ts'

/** Decay from 0.4 s after the onset on, cents off the string's law, which polarisation. */
const extraColumns: readonly {
  readonly name: string
  readonly key: keyof Partial
  of(partial: Partial): number
}[] = [
  { name: 'late_decay_per_s', key: 'lateDecayPerS', of: (partial) => partial.lateDecayPerS ?? partial.decayPerS },
  { name: 'deviation_cents', key: 'deviationCents', of: (partial) => partial.deviationCents ?? 0 },
  { name: 'polarisation', key: 'polarisation', of: (partial) => partial.polarisation ?? 1 },
]

export function partialsTable(partials: readonly Partial[]): { readonly head: string; readonly rows: number[][] } {
  const extra = extraColumns.filter(({ key }) => partials.some((partial) => partial[key] !== undefined))
  return {
    head: ['k', 'frequency', 'amplitude', 'decay_per_s', ...extra.map(({ name }) => name)].join(','),
    rows: partials.map((partial) => [
      ...[partial.k, partial.frequencyHz, partial.amplitude, partial.decayPerS],
      ...extra.map((column) => column.of(partial)),
    ]),
  }
}
