/**
 * The one error that set-up code throws for bad input: a sentence, and the place in the input it is about.
 *
 * `push` and `score` never throw for data; they answer NaN or null. Everything that reads a scene, a setting or a file
 * throws a Problem, so that the command line can exit 4 and the page can show the same sentence.
 */
export class Problem extends Error {
  /** Path of the value inside the input, such as `noises.0.snrDb`; '' when the whole input is meant. */
  readonly where: string

  constructor(what: string, where: string) {
    super(what)
    this.name = 'Problem'
    this.where = where
  }

  /** "noises.0.snrDb: 400 is above 120 dB". */
  get sentence(): string {
    return this.where === '' ? this.message : `${this.where}: ${this.message}`
  }
}

/** The same problem, seen from one level further out: `prefix` is put in front of the path. */
export function problemWithin(prefix: string, problem: Problem): Problem {
  return new Problem(problem.message, problem.where === '' ? prefix : `${prefix}.${problem.where}`)
}
