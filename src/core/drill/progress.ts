/** When a person may go on: nine of the last ten attempts at an exercise passed (so nine in a row are enough). */

export const attemptsCounted = 10
export const passesNeeded = 9

/** `passed`: of every attempt at one exercise, oldest first. */
export const passesOf = (passed: readonly boolean[]): number =>
  passed.slice(-attemptsCounted).filter((one) => one).length

export const isMastered = (passed: readonly boolean[]): boolean => passesOf(passed) >= passesNeeded
