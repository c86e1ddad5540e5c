import { Command } from 'commander'
import { noises } from '../../core/scene/noises/index.ts'
import { knownRooms } from '../../core/study/presets.ts'

/** Lists the noises that scenes are made of, and the named rooms. */
export const roomsCommand = (): Command =>
  new Command('rooms')
    .description('List the noises and the named rooms.')
    .option('--json', 'as JSON')
    .action((options: { json?: true }) => {
      const noiseList = noises.map(({ id, title, source, fields }) => ({ id, title, source, fields }))
      if (options.json) {
        process.stdout.write(`${JSON.stringify({ noises: noiseList, rooms: knownRooms }, null, 2)}\n`)
        return
      }
      process.stdout.write('Rooms (each also as ID/no-string and ID/wrong-string):\n')
      for (const room of knownRooms) process.stdout.write(`  ${room.id}: ${room.title}\n`)
      process.stdout.write('Noises:\n')
      for (const noise of noiseList) {
        process.stdout.write(`  ${noise.id}: ${noise.title}. ${noise.source}\n`)
        for (const [name, field] of Object.entries(noise.fields)) {
          process.stdout.write(
            `    ${name} = ${field.default} ${field.unit} (${field.min} to ${field.max}): ${field.help}\n`,
          )
        }
      }
    })
