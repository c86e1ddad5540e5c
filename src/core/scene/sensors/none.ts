import { sensor } from './sensor.ts'

export const none = sensor({
  id: 'none',
  title: 'No sensor: every sound as it is',
  source: 'Definition',
  fields: {},
  apply: () => undefined,
})
