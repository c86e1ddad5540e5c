/**
 * Hearing rooms: one audio context while the list is open, made in the first press after the caution was acknowledged; one
 * room sounds at a time. A late answer of a room that was stopped or overtaken is dropped.
 */
import { useEffect, useRef, useState } from 'react'
import playerUrl from '../../../worklets/player.ts?worker&url'
import { Problem } from '../../core/problem.ts'
import type { Study } from '../../core/study/study.ts'
import { type Audio, startLevelDb } from '../../host/audio.ts'
import type { Part } from '../../host/messages.ts'
import { openPlayer, type Player } from '../../host/player.ts'
import { cautionRead, readCaution } from '../caution.ts'
import { heldBackWords, openHeardAudio } from '../heardaudio.ts'
import { recordingsOf } from '../run/recordings.ts'
import { type PreviewAnswer, type PreviewRequest, previewScene } from './preview.ts'

export interface RoomSound {
  /** The room that is being made or sounds; null: none. */
  readonly busy: string | null
  readonly playing: boolean
  readonly problem: string | null
  readonly levelDb: number
  readonly acknowledged: boolean
  /** Set while the caution waits for a press. */
  readonly asked: Part | null
  /** Plays the study's one room, its one string in it; stops it when it is the one that sounds. Call it from a click or key. */
  press(base: string, study: Study): void
  acknowledge(): void
  setLevelDb(levelDb: number): void
}

interface Held {
  audio: Audio | null
  player: Player | null
  worker: Worker | null
  /** Who asked last. */
  turn: number
}

function silence(held: Held): void {
  held.turn += 1
  held.worker?.terminate()
  held.worker = null
  held.player?.close()
  held.player = null
}

export function useRoomSound(): RoomSound {
  const [busy, setBusy] = useState<string | null>(null)
  const [playing, setPlaying] = useState(false)
  const [problem, setProblem] = useState<string | null>(null)
  const [levelDb, setLevel] = useState(startLevelDb)
  const [acknowledged, setAcknowledged] = useState(cautionRead)
  const [asked, setAsked] = useState<{ base: string; study: Study } | null>(null)
  const held = useRef<Held>({ audio: null, player: null, worker: null, turn: 0 }).current

  useEffect(
    () => () => {
      silence(held)
      void held.audio?.close()
      held.audio = null
    },
    [held],
  )

  const stop = (): void => {
    // Fades before it goes.
    held.player?.pause()
    held.worker?.terminate()
    held.worker = null
    held.turn += 1
    setBusy(null)
    setPlaying(false)
  }

  const openedAudio = (): Audio => {
    if (held.audio !== null) return held.audio
    const opened = openHeardAudio(levelDb, setProblem)
    held.audio = opened
    return opened
  }

  const play = async (base: string, study: Study): Promise<void> => {
    silence(held)
    const mine = held.turn
    setProblem(null)
    setPlaying(false)
    setBusy(base)
    try {
      const { output, resume } = openedAudio()
      const running = resume()
      const [string, room] = [study.strings[0], study.rooms[0]]
      if (string === undefined || room === undefined) return
      const recordings = await recordingsOf(study)
      if (held.turn !== mine) return
      const sound = await rendered({ scene: previewScene(study, string, room), recordings }, held)
      if (held.turn !== mine) return
      if ('problem' in sound) throw new Problem(sound.problem, '')
      const opened = await openPlayer(playerUrl, output, sound, { part: 'mix' })
      if (held.turn !== mine) return opened.close()
      held.player = opened
      opened.onProblem(setProblem)
      opened.onPosition((_atS, sounding) => {
        if (held.turn !== mine) return
        setPlaying(sounding)
        if (!sounding) setBusy(null)
      })
      if (!(await running)) setProblem(heldBackWords)
      if (held.turn === mine) opened.play()
    } catch (cause) {
      if (held.turn !== mine) return
      setBusy(null)
      setProblem(`${base} cannot be heard: ${cause instanceof Problem ? cause.sentence : String(cause)}`)
    }
  }

  return {
    busy,
    playing,
    problem,
    levelDb,
    acknowledged,
    asked: asked === null ? null : 'noise',
    press(base, study) {
      if (!acknowledged) setAsked({ base, study })
      else if (busy === base) stop()
      else void play(base, study)
    },
    acknowledge() {
      readCaution()
      setAcknowledged(true)
      setAsked(null)
      if (asked === null) return
      void play(asked.base, asked.study)
      // The button of the caution goes away; the keys stay with the room.
      document.querySelector<HTMLElement>(`[data-hear="${CSS.escape(asked.base)}"]`)?.focus()
    },
    setLevelDb(wantedDb) {
      setLevel(held.audio?.setLevelDb(wantedDb) ?? wantedDb)
    },
  }
}

/** A worker of its own: terminating it is the one way to stop a rendering. */
function rendered(request: PreviewRequest, held: Held): Promise<PreviewAnswer> {
  return new Promise((resolve) => {
    const made = new Worker(new URL('./preview.worker.ts', import.meta.url), { type: 'module' })
    held.worker = made
    const end = (answer: PreviewAnswer): void => {
      made.terminate()
      if (held.worker === made) held.worker = null
      resolve(answer)
    }
    made.onmessage = ({ data }: MessageEvent<PreviewAnswer>) => end(data)
    made.onerror = () => end({ problem: 'the sound could not be made' })
    made.postMessage(request)
  })
}
