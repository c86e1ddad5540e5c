/** Whether the caution before sound was read: once a visit, for every page that can be heard. */
let read = false

export const cautionRead = (): boolean => read

export function readCaution(): void {
  read = true
}
