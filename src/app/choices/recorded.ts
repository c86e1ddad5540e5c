/** Strings and rooms that were recorded: shipped with the page, or read from a person's file. */
import type { StudyRoom, StudyString } from '../../core/study/study.ts'
import { type Listed, pickedRecordings, shipped } from '../run/recordings.ts'

export const asString = ({ id, targetHz }: Listed): StudyString => ({ id, targetHz, pluck: {}, recording: id })

export const asRoom = ({ id }: Listed): StudyRoom => ({
  id,
  parts: [{ id: 'recorded', levelDb: 0, values: {}, recording: id }],
  variant: 'string',
})

export const recorded = (use: Listed['use']): readonly Listed[] =>
  [...shipped, ...pickedRecordings()].filter((entry) => entry.use === use)
