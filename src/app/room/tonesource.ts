/** A quiet steady tone from this machine's loudspeaker, for an input that has no other source at hand. */

/** No multiple of 50 or 60 Hz, where hum lies; every loudspeaker of a laptop has it. */
export const toneHz = 523
/** 26 dB under full scale: the person raises it. */
const amplitude = 0.05
/** Without a click. */
const fadeS = 0.02

export interface ToneSource {
  stop(): Promise<void>
}

/** Call it in the wake of a press. @throws what the browser throws when it opens no sound. */
export async function playTone(): Promise<ToneSource> {
  const context = new AudioContext()
  await context.resume()
  const gain = new GainNode(context, { gain: 0 })
  const oscillator = new OscillatorNode(context, { frequency: toneHz })
  oscillator.connect(gain).connect(context.destination)
  gain.gain.setTargetAtTime(amplitude, context.currentTime, fadeS / 3)
  oscillator.start()
  return {
    async stop() {
      if (context.state !== 'closed') await context.close()
    },
  }
}
