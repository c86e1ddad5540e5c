/** The address of what is open goes to the clipboard. False: the browser refuses, and it was shown under `asked` to be copied by hand. */
export async function copyLink(asked: string): Promise<boolean> {
  const { href } = window.location
  try {
    await navigator.clipboard.writeText(href)
    return true
  } catch {
    window.prompt(asked, href)
    return false
  }
}
