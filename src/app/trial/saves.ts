/** The trial as files: the mix as a WAV, and the scene that renders to the same samples anywhere. */
import { sceneJson } from '../../core/scene/parse.ts'
import { writeWav } from '../../core/scene/wav.ts'
import type { Study } from '../../core/study/study.ts'
import type { Replay } from '../../core/study/trial.ts'
import { saveFile } from '../savefile.ts'

const nameOf = (study: Study, { trial }: Replay): string =>
  `clatterbench-${study.id}-trial-${trial.index}-${trial.string}-${trial.room}-${trial.snrDb}dB`.replaceAll('/', '-')

export function saveWav(study: Study, replay: Replay): void {
  const { samples, sampleRateHz } = replay.rendered.take
  // A view of its own buffer is what a Blob takes.
  const bytes = new Uint8Array(writeWav(samples, sampleRateHz))
  saveFile(`${nameOf(study, replay)}.wav`, 'audio/wav', [bytes])
}

export function saveScene(study: Study, replay: Replay): void {
  const text = `${JSON.stringify(sceneJson(replay.scene), null, 2)}\n`
  saveFile(`${nameOf(study, replay)}.json`, 'application/json', [text])
}
