/**
 * Hearing a trial: one audio context while the view is open, made in the first press after the caution was acknowledged;
 * one player a trial. The position lives outside React's state: it changes ten times a second.
 */
import { useEffect, useMemo, useRef, useState } from 'react'
import playerUrl from '../../../worklets/player.ts?worker&url'
import { Problem } from '../../core/problem.ts'
import type { Replay } from '../../core/study/trial.ts'
import { type Audio, startLevelDb } from '../../host/audio.ts'
import type { Part } from '../../host/messages.ts'
import { openPlayer, type Player } from '../../host/player.ts'
import { cautionRead, readCaution } from '../caution.ts'
import { heldBackWords, openHeardAudio } from '../heardaudio.ts'

/** Seconds from the start of the take; null: nothing sounds. */
export interface HeardPosition {
  subscribe(hear: () => void): () => void
  get(): number | null
}

export interface Hearing {
  /** What was heard last, or is. */
  readonly part: Part
  readonly playing: boolean
  readonly problem: string | null
  readonly levelDb: number
  readonly acknowledged: boolean
  /** What was pressed before the caution was acknowledged. */
  readonly asked: Part | null
  readonly position: HeardPosition
  /**
   * Plays the part from the start; while another part plays, changes over without a break; stops the one that plays.
   * Call it from a click or key.
   */
  press(part: Part): void
  stop(): void
  /** Plays what was asked for, if anything. */
  acknowledge(): void
  /** Puts the question away. */
  dismiss(): void
  setLevelDb(levelDb: number): void
}

export function useHearing(replay: Replay | null): Hearing {
  const [part, setPart] = useState<Part>('mix')
  const [playing, setPlaying] = useState(false)
  const [problem, setProblem] = useState<string | null>(null)
  const [levelDb, setLevel] = useState(startLevelDb)
  const [acknowledged, setAcknowledged] = useState(cautionRead)
  const [asked, setAsked] = useState<Part | null>(null)
  const audio = useRef<Audio | null>(null)
  const player = useRef<{ readonly of: Replay; readonly player: Promise<Player> } | null>(null)
  const position = useMemo(heardPosition, [])

  useEffect(
    () => () => {
      void audio.current?.close()
      audio.current = null
      player.current = null
    },
    [],
  )

  // Another trial: what sounds belongs to the last one.
  useEffect(() => {
    return () => {
      const old = player.current
      if (old === null || old.of !== replay) return
      player.current = null
      old.player.then(
        (opened) => opened.close(),
        () => undefined,
      )
      setPlaying(false)
      position.set(null)
    }
  }, [replay, position])

  const openedAudio = (): Audio => {
    if (audio.current !== null) return audio.current
    const opened = openHeardAudio(levelDb, setProblem)
    audio.current = opened
    return opened
  }

  const openedPlayer = (wanted: Part): Promise<Player> | null => {
    if (replay === null) return null
    if (player.current?.of === replay) return player.current.player
    const { clean, noise, take } = replay.rendered
    const opening = openPlayer(
      playerUrl,
      openedAudio().output,
      { string: clean, noise, sampleRateHz: take.sampleRateHz },
      { part: wanted },
    )
    player.current = { of: replay, player: opening }
    opening.then(
      (opened) => {
        opened.onPosition((atS, sounding) => {
          if (player.current?.of !== replay) return
          setPlaying(sounding)
          position.set(sounding ? atS : null)
        })
        opened.onProblem(setProblem)
      },
      () => {
        player.current = null
      },
    )
    return opening
  }

  const play = async (wanted: Part): Promise<void> => {
    setPart(wanted)
    setProblem(null)
    try {
      const opened = openedPlayer(wanted)
      if (opened === null) return
      const running = openedAudio().resume()
      const ready = await opened
      ready.hear(wanted)
      if (!(await running)) setProblem(heldBackWords)
      if (!playing) ready.play()
    } catch (cause) {
      setProblem(cause instanceof Problem ? cause.sentence : String(cause))
    }
  }

  const stop = (): void => {
    void player.current?.player.then((opened) => opened.pause()).catch(() => undefined)
  }

  return {
    part,
    playing,
    problem,
    levelDb,
    acknowledged,
    asked,
    position,
    press(wanted) {
      if (!acknowledged) setAsked(wanted)
      else if (playing && wanted === part) stop()
      else void play(wanted)
    },
    stop,
    acknowledge() {
      readCaution()
      setAcknowledged(true)
      setAsked(null)
      if (asked !== null) void play(asked)
    },
    dismiss: () => setAsked(null),
    setLevelDb(wantedDb) {
      setLevel(audio.current?.setLevelDb(wantedDb) ?? wantedDb)
    },
  }
}

function heardPosition(): HeardPosition & { set(takeS: number | null): void } {
  let now: number | null = null
  const hearers = new Set<() => void>()
  return {
    subscribe(hear) {
      hearers.add(hear)
      return () => hearers.delete(hear)
    },
    get: () => now,
    set(takeS) {
      if (takeS === now) return
      now = takeS
      for (const hear of hearers) hear()
    },
  }
}
