/**
 * Reads a person's WAV file as a string or a room. A string needs its note, its onset and its pitch: nothing can be scored
 * against a pitch that nobody states. The pitch offered is what an aimed method reads on the file itself, in quiet; the
 * person may put a better one in its place.
 */
import { useRef, useState } from 'react'
import { Button, FileTrigger } from 'react-aria-components'
import { fill } from '../../core/fields.ts'
import { median } from '../../core/maths/statistics.ts'
import { hzFromNote, noteName } from '../../core/maths/units.ts'
import { methods } from '../../core/methods/index.ts'
import { listen } from '../../core/methods/listen.ts'
import { Problem } from '../../core/problem.ts'
import { targetField } from '../../core/scene/parse.ts'
import { recordingFromWav } from '../../core/scene/recording.ts'
import type { Recording } from '../../core/scene/scene.ts'
import { addPicked, type Listed } from '../run/recordings.ts'
import { FieldInput } from './Ticks.tsx'

/** 60 s of four channels at 192 kHz; more is no single pluck, and browsers run short of memory. */
const mostBytes = 200_000_000

export function FilePicker(props: { use: 'string' | 'noise'; onPicked(entry: Listed): void }) {
  const { use, onPicked } = props
  const [problem, setProblem] = useState<string | null>(null)
  const [found, setFound] = useState<{ title: string; recording: Recording } | null>(null)

  const read = async (file: File): Promise<void> => {
    setProblem(null)
    setFound(null)
    try {
      if (file.size > mostBytes) throw new Problem(`${file.size} bytes is above ${mostBytes} bytes`, file.name)
      const bytes = new Uint8Array(await file.arrayBuffer())
      const id = `${idOf(file.name)}-${fingerprint(bytes)}`
      const recording = recordingFromWav(id, bytes, { onsetS: Number.NaN, f1Hz: Number.NaN })
      if (use === 'string') setFound({ title: file.name, recording })
      else await take({ title: file.name, recording }, Number.NaN)
    } catch (cause) {
      setProblem(
        cause instanceof Problem
          ? `${file.name}: ${cause.message}. Nothing was lost; pick another file.`
          : `${file.name} could not be read.`,
      )
    }
  }

  const take = async (picked: { title: string; recording: Recording }, targetHz: number): Promise<void> => {
    const kept = await addPicked({ ...picked, use, targetHz })
    if (!kept) setProblem('The browser keeps no files here: this recording is gone when the page closes.')
    setFound(null)
    onPicked({ id: picked.recording.id, title: picked.title, use, targetHz, picked: true })
  }

  return (
    <div className="file-picker">
      <FileTrigger
        acceptedFileTypes={['.wav', 'audio/wav']}
        onSelect={(files) => {
          const file = files?.[0]
          if (file !== undefined) void read(file)
        }}
      >
        <Button className="button">
          {use === 'string' ? 'Add a string from a WAV file' : 'Add a room from a WAV file'}
        </Button>
      </FileTrigger>
      {problem !== null && (
        <p className="problem" role="alert">
          {problem}
        </p>
      )}
      {found !== null && <StringForm title={found.title} recording={found.recording} onTake={take} />}
    </div>
  )
}

function StringForm(props: {
  title: string
  recording: Recording
  onTake(picked: { title: string; recording: Recording }, targetHz: number): Promise<void>
}) {
  const { title, recording, onTake } = props
  const [onsetS, setOnsetS] = useState(() => guessOnsetS(recording))
  const [note, setNote] = useState(() => /[A-G][#b]?\d/.exec(title)?.[0] ?? 'E2')
  const [statedHz, setStatedHz] = useState<number | null>(null)
  const [problem, setProblem] = useState<string | null>(null)
  const targetHz = noteHz(note)
  const heard = useRef({ key: '', f1Hz: Number.NaN })
  const key = `${onsetS} ${targetHz}`
  if (heard.current.key !== key)
    heard.current = { key, f1Hz: targetHz === null ? Number.NaN : readPitch(recording, onsetS, targetHz) }
  const f1Hz = statedHz ?? heard.current.f1Hz
  const durationS = recording.samples.length / recording.sampleRateHz
  return (
    <div className="fields">
      <label className="text-field">
        <span>Note in hand</span>
        <input value={note} onChange={(event) => setNote(event.target.value)} />
        <span className="notes">{targetHz === null ? 'Such as E2, F#3 or Bb2.' : `${targetHz.toFixed(2)} Hz`}</span>
      </label>
      <FieldInput
        title="Pluck begins"
        field={{
          default: 0,
          min: 0,
          max: durationS,
          unit: 's',
          help: `In ${durationS.toFixed(2)} s; guessed from the level.`,
        }}
        value={onsetS}
        onValue={setOnsetS}
      />
      <FieldInput
        title="Its pitch, first partial"
        field={{
          ...targetField,
          help: 'Offered: what an aimed method reads in quiet. Results are no better than this.',
        }}
        value={f1Hz}
        onValue={setStatedHz}
      />
      {problem !== null && (
        <p className="problem" role="alert">
          {problem}
        </p>
      )}
      <button
        type="button"
        className="button"
        onClick={() => {
          if (targetHz === null) return setProblem(`Note: "${note}" is no note name, such as E2. Nothing was lost.`)
          if (!Number.isFinite(f1Hz))
            return setProblem('Pitch: nobody states it, so nothing could be scored. Enter it in Hz.')
          void onTake(
            { title: `${title} (${noteName(targetHz)})`, recording: { ...recording, onsetS, f1Hz } },
            targetHz,
          )
        }}
      >
        Use it
      </button>
    </div>
  )
}

function noteHz(note: string): number | null {
  const hz = hzFromNote(note)
  return Number.isNaN(hz) ? null : hz
}

/** First 5 ms that reach a quarter of the loudest 5 ms: a pluck rises within a few of them. */
function guessOnsetS({ samples, sampleRateHz }: Recording): number {
  const step = Math.max(1, Math.round(sampleRateHz * 0.005))
  const levels: number[] = []
  for (let at = 0; at + step <= samples.length; at += step) {
    let sum = 0
    for (let i = at; i < at + step; i += 1) sum += (samples[i] as number) ** 2
    levels.push(Math.sqrt(sum / step))
  }
  const loudest = levels.reduce((most, level) => Math.max(most, level), 0)
  return (
    Math.max(
      0,
      levels.findIndex((level) => level >= loudest / 4),
    ) * 0.005
  )
}

/** Median of an aimed method's readings between 0.3 and 1.3 s after the pluck: the glide is over by then. */
function readPitch(recording: Recording, onsetS: number, targetHz: number): number {
  const method = methods.find((one) => one.family === 'aimed')
  if (method === undefined) return Number.NaN
  const { samples, sampleRateHz } = recording
  const from = Math.round((onsetS + 0.3) * sampleRateHz)
  const span = samples.slice(from, from + sampleRateHz)
  try {
    const stream = { sampleRateHz, lowestHz: 30, highestHz: 1400, targetHz, room: null }
    const pitches = listen(method, span, stream, fill(method.fields, {})).map((reading) => reading.f0Hz)
    const heard = pitches.filter((hz) => Number.isFinite(hz))
    return heard.length === 0 ? Number.NaN : median(heard)
  } catch {
    return Number.NaN
  }
}

const idOf = (name: string): string =>
  name
    .replace(/\.wav$/i, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '')
    .slice(0, 24) || 'file'

/** FNV-1a over the bytes: two files of one name stay apart. */
function fingerprint(bytes: Uint8Array): string {
  let hash = 0x811c9dc5
  for (const byte of bytes) hash = Math.imul(hash ^ byte, 0x01000193)
  return (hash >>> 0).toString(36)
}
