/**
 * Progress on stderr: a bar where somebody watches, a line every 10 s where it goes to a file.
 */
const barWidth = 30

export interface Progress {
  done(): void
  end(): void
}

export function progressReport(total: number): Progress {
  const startMs = Date.now()
  const watched = process.stderr.isTTY === true
  // A bar may move often; ten lines a minute are what a log bears.
  const everyMs = watched ? 100 : 10_000
  let count = 0
  let toldMs = startMs
  const tell = (): void => {
    const etaS = count === 0 ? Number.NaN : ((Date.now() - startMs) / 1000 / count) * (total - count)
    const left = Number.isNaN(etaS) ? '' : `, ${Math.ceil(etaS)} s left`
    const filled = Math.round((barWidth * count) / Math.max(1, total))
    const bar = watched ? `\r[${'='.repeat(filled)}${' '.repeat(barWidth - filled)}] ` : ''
    process.stderr.write(`${bar}${count} of ${total} trials${left}${watched ? '   ' : '\n'}`)
  }
  return {
    done() {
      count += 1
      if (Date.now() - toldMs < everyMs) return
      toldMs = Date.now()
      tell()
    },
    end() {
      tell()
      if (watched) process.stderr.write('\n')
    },
  }
}
