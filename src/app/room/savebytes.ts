/** Hands bytes to the person as a file. */
export function saveBytes(name: string, bytes: Uint8Array<ArrayBuffer>, type: string): void {
  const url = URL.createObjectURL(new Blob([bytes], { type }))
  const link = document.createElement('a')
  link.href = url
  link.download = name
  link.click()
  // The browser reads the blob after the click returns.
  setTimeout(() => URL.revokeObjectURL(url), 10_000)
}
