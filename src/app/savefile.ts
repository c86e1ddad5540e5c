/** Hands something to the person as a file. */
export function saveFile(name: string, type: string, parts: readonly BlobPart[]): void {
  const url = URL.createObjectURL(new Blob([...parts], { type }))
  const link = document.createElement('a')
  link.href = url
  link.download = name
  link.click()
  // The browser reads the blob after the click returns.
  setTimeout(() => URL.revokeObjectURL(url), 10_000)
}
