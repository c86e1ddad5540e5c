/**
 * The middle one of some values, found without sorting them all (Hoare 1961, Algorithm 65: Find, Commun. ACM 4:321-322).
 */

/** What `values.sort()[values.length >> 1]` would be, for values that are numbers. Reorders `values`; does not allocate. */
export function middleOf(values: Float64Array): number {
  const wanted = values.length >> 1
  let from = 0
  let to = values.length - 1
  while (from < to) {
    const pivot = values[(from + to) >> 1]
    let low = from
    let high = to
    while (low <= high) {
      while (values[low] < pivot) low++
      while (values[high] > pivot) high--
      if (low > high) break
      const value = values[low]
      values[low++] = values[high]
      values[high--] = value
    }
    if (wanted <= high) to = high
    else if (wanted >= low) from = low
    else break
  }
  return values[wanted]
}
