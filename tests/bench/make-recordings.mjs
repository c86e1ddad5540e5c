/**
 * Makes the excerpts in signals/recordings again: `node tests/bench/make-recordings.mjs FOLDER`.
 *
 * FOLDER holds the unpacked packages as FOLDER/NAME-VERSION/package/... (signals/recordings/README.md has the commands).
 * signals/recordings/index.json says what to cut from which file; this writes the WAV files and their SHA-256 into it.
 * Samples are copied, never resampled, mixed or scaled, so that two makers get the same bytes. FLAC files are decoded by
 * the `flac` program, which is lossless.
 */
import { execFileSync } from 'node:child_process'
import { createHash } from 'node:crypto'
import { readFileSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'

const recordings = fileURLToPath(new URL('../../signals/recordings/', import.meta.url))
const indexPath = join(recordings, 'index.json')

function bytesOf(path) {
  if (!path.endsWith('.flac')) return readFileSync(path)
  return execFileSync('flac', ['--silent', '--decode', '--stdout', path], { maxBuffer: 64 * 1024 * 1024 })
}

/** The first channel of a PCM16 WAV file. A cut of one channel needs no arithmetic; a mix would cancel wide stereo. */
function firstChannel(bytes, path) {
  const bad = (what) => new Error(`${path}: ${what}`)
  if (bytes.toString('latin1', 0, 4) !== 'RIFF') throw bad('not a RIFF file')
  let format = null
  for (let at = 12; at + 8 <= bytes.length; ) {
    const name = bytes.toString('latin1', at, at + 4)
    const length = bytes.readUInt32LE(at + 4)
    if (name === 'fmt ') {
      format = {
        code: bytes.readUInt16LE(at + 8),
        channels: bytes.readUInt16LE(at + 10),
        rate: bytes.readUInt32LE(at + 12),
      }
      if (bytes.readUInt16LE(at + 22) !== 16) throw bad('not 16 bit')
    }
    if (name === 'data') {
      if (format === null) throw bad('data before fmt')
      const frames = Math.floor(Math.min(length, bytes.length - at - 8) / (2 * format.channels))
      const samples = new Int16Array(frames)
      for (let i = 0; i < frames; i++) samples[i] = bytes.readInt16LE(at + 8 + 2 * format.channels * i)
      return { rate: format.rate, samples }
    }
    at += 8 + length + (length % 2)
  }
  throw bad('no data chunk')
}

function wavBytes(samples, rate) {
  const bytes = Buffer.alloc(44 + 2 * samples.length)
  bytes.write('RIFF', 0, 'latin1')
  bytes.writeUInt32LE(36 + 2 * samples.length, 4)
  bytes.write('WAVEfmt ', 8, 'latin1')
  bytes.writeUInt32LE(16, 16)
  bytes.writeUInt16LE(1, 20)
  bytes.writeUInt16LE(1, 22)
  bytes.writeUInt32LE(rate, 24)
  bytes.writeUInt32LE(2 * rate, 28)
  bytes.writeUInt16LE(2, 32)
  bytes.writeUInt16LE(16, 34)
  bytes.write('data', 36, 'latin1')
  bytes.writeUInt32LE(2 * samples.length, 40)
  samples.forEach((sample, i) => {
    bytes.writeInt16LE(sample, 44 + 2 * i)
  })
  return bytes
}

/** `leadS` of zeros, then the original from its start, `durationS` in all or until the original ends; a linear fade closes it. */
function excerpt(original, rate, { leadS, durationS, fadeS }) {
  const lead = Math.round(leadS * rate)
  const length = Math.min(Math.round(durationS * rate), lead + original.length)
  const fade = Math.round(fadeS * rate)
  const samples = new Int16Array(length)
  for (let i = lead; i < length; i++) {
    const gain = Math.min(1, (length - 1 - i) / Math.max(fade, 1))
    samples[i] = fade === 0 ? original[i - lead] : Math.round(gain * original[i - lead])
  }
  return samples
}

const folder = process.argv[2]
if (folder === undefined) {
  console.error('usage: node tests/bench/make-recordings.mjs FOLDER_WITH_UNPACKED_PACKAGES')
  process.exit(2)
}
const index = JSON.parse(readFileSync(indexPath, 'utf8'))
let total = 0
for (const entry of index.recordings) {
  const path = join(folder, `${entry.package}-${entry.version}`, 'package', entry.packageFile)
  const { rate, samples } = firstChannel(bytesOf(path), path)
  if (rate !== entry.sampleRateHz) throw new Error(`${path}: ${rate} Hz, the index says ${entry.sampleRateHz}`)
  const bytes = wavBytes(excerpt(samples, rate, entry.cut), rate)
  writeFileSync(join(recordings, entry.file), bytes)
  entry.sha256 = createHash('sha256').update(bytes).digest('hex')
  total += bytes.length
}
writeFileSync(indexPath, `${JSON.stringify(index, null, 2)}\n`)
console.error(`${index.recordings.length} files, ${(total / 1e6).toFixed(2)} MB`)
