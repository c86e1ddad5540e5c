/**
 * The two ends of a stream of samples that crosses threads. Who reads does not know whether a ring in shared memory or
 * posted blocks lie between: both give the same samples and count what was lost, in samples.
 *
 * A block is written whole or lost whole. A stream that lost anything is broken: its take gets no score.
 */

/** The writing end, for one writer on the audio thread: nothing here allocates or waits. */
export interface BlockSink {
  /** The first `count` samples go in, or are counted as lost when there is no room for all of them. */
  write(samples: Float32Array, count: number): void
  /** Samples that never reached the writer. */
  lose(count: number): void
  /** Hands over what is still held back. */
  finish(): void
  /** All samples lost so far. */
  readonly lostSamples: number
}

/** The reading end, for one reader. */
export interface BlockSource {
  /** Copies what is there, at most `target.length` samples, to the front of `target`; answers how many, 0 when empty. */
  read(target: Float32Array): number
  /** All samples lost so far, wherever in the stream. */
  readonly lostSamples: number
}
