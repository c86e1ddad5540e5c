/** Sound of a page that shows its level and says what is wrong with it. */
import { type Audio, openAudio } from '../host/audio.ts'

/** Call it from the handler of a click or key. */
export function openHeardAudio(levelDb: number, onProblem: (what: string) => void): Audio {
  const opened = openAudio()
  opened.setLevelDb(levelDb)
  opened.onState((state) => {
    if (state === 'frozen') onProblem('The audio device stands still. Press again, or choose another device.')
  })
  return opened
}

/** `resume` answered that it does not run. */
export const heldBackWords = 'The browser holds the sound back. Press again.'
