/**
 * The one way to the loudspeaker: an audio context made in a click, behind a level that starts low and has a ceiling.
 *
 * Nothing here runs at import. Browsers let sound begin only after a person acted, so `openAudio` is called from the
 * handler of a click or key. Before the first sound the page says: start low, protect hearing (85 dBA for 8 h is the limit
 * of NIOSH publication 98-126, 1998; every 3 dB more halves the time).
 */

/** -30 dB under full scale: quiet on any loudspeaker that music is heard on (own choice). */
export const startLevelDb = -30
const lowestLevelDb = -80
/** Full scale: a take is never made louder than it was rendered. */
const highestLevelDb = 0
/** The level follows with this time constant: fast to the hand, free of clicks. */
const levelTimeConstantS = 0.02
/** A running context whose clock stands still this long is stuck. */
const frozenMs = 1000

/** `frozen`: it says it runs but its clock stands still. */
export type AudioState = 'running' | 'suspended' | 'frozen' | 'closed'

export interface Audio {
  readonly context: AudioContext
  /** Where players connect. */
  readonly output: AudioNode
  readonly levelDb: number
  /** Within -80..0 dB of full scale; what lies outside is moved to the nearer limit. Answers what was set. */
  setLevelDb(levelDb: number): number
  readonly state: AudioState
  /** Called at every change of state. */
  onState(handler: (state: AudioState) => void): void
  /** Starts a suspended or interrupted context again; call it from a click. Answers whether it runs. */
  resume(): Promise<boolean>
  close(): Promise<void>
}

/**
 * Call it from the handler of a click or key.
 * @param makeContext stands in for the browser's own in tests.
 */
export function openAudio(makeContext = () => new AudioContext({ latencyHint: 'playback' })): Audio {
  const context = makeContext()
  const level = context.createGain()
  let levelDb = startLevelDb
  level.gain.value = amplitudeRatio(levelDb)
  level.connect(context.destination)

  let handler: (state: AudioState) => void = () => {}
  let state: AudioState = plainState(context)
  let clockS = context.currentTime
  const become = (next: AudioState) => {
    if (next === state) return
    state = next
    handler(state)
  }
  context.onstatechange = () => {
    // A clock that has only just begun to run must not count as standing at the next look.
    clockS = Number.NaN
    become(plainState(context))
  }
  const watch = setInterval(() => {
    const stands = context.currentTime === clockS
    clockS = context.currentTime
    const plain = plainState(context)
    become(plain === 'running' && stands ? 'frozen' : plain)
  }, frozenMs)

  return {
    context,
    output: level,
    get levelDb() {
      return levelDb
    },
    setLevelDb(wantedDb) {
      levelDb = Math.min(highestLevelDb, Math.max(lowestLevelDb, Number.isNaN(wantedDb) ? startLevelDb : wantedDb))
      level.gain.setTargetAtTime(amplitudeRatio(levelDb), context.currentTime, levelTimeConstantS)
      return levelDb
    },
    get state() {
      return state
    },
    onState(wanted) {
      handler = wanted
    },
    async resume() {
      // A browser may refuse, or never answer while another program holds the device; the state says how it went.
      await Promise.race([context.resume().catch(() => undefined), new Promise((done) => setTimeout(done, frozenMs))])
      become(plainState(context))
      return state === 'running'
    },
    async close() {
      clearInterval(watch)
      if (context.state !== 'closed') await context.close()
    },
  }
}

const amplitudeRatio = (db: number): number => 10 ** (db / 20)

/** Interrupted (a call came in) is told like suspended: both wait for a person. */
function plainState(context: BaseAudioContext): AudioState {
  return context.state === 'running' || context.state === 'closed' ? context.state : 'suspended'
}
