/**
 * Drill string: the strings and the room of an exercise, sounding while their pegs are turned. All sound is made in
 * src/core/drill/liveplucks.ts; this hands commands in and samples out. Should anything throw, it posts one problem and falls silent.
 */
import { LivePlucks } from '../src/core/drill/liveplucks.ts'
import type { DrillStringOptions, FromDrillString, ToDrillString } from '../src/host/drillmessages.ts'

class DrillString extends AudioWorkletProcessor implements AudioWorkletProcessorImpl {
  #plucks: LivePlucks | null = null

  constructor(options: { processorOptions: DrillStringOptions }) {
    super()
    try {
      const { setup, commands } = options.processorOptions
      const plucks = new LivePlucks({ ...setup, sampleRateHz: sampleRate })
      for (const command of commands) plucks.obey(command)
      this.#plucks = plucks
    } catch (error) {
      this.#fail(error)
    }
    this.port.onmessage = ({ data }: MessageEvent<ToDrillString>) => {
      if (data.kind === 'close') this.#plucks = null
      else this.#plucks?.obey(data)
    }
  }

  process(_inputs: Float32Array[][], outputs: Float32Array[][]): boolean {
    if (this.#plucks === null) return false
    try {
      const output = outputs[0]
      this.#plucks.fill(output[0])
      for (let c = 1; c < output.length; c++) output[c].set(output[0])
    } catch (error) {
      this.#fail(error)
    }
    return true
  }

  #fail(error: unknown): void {
    this.#plucks = null
    this.port.postMessage({ kind: 'problem', what: String(error) } satisfies FromDrillString)
  }
}

registerProcessor('drill-string', DrillString)
