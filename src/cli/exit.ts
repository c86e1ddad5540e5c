/** Ends a command with a code of its own: 2 usage, 5 incomplete, 130 interrupted. */
export class Exit extends Error {
  readonly code: 2 | 5 | 130

  constructor(code: 2 | 5 | 130, message: string) {
    super(message)
    this.name = 'Exit'
    this.code = code
  }
}
