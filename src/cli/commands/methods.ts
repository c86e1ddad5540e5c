import { Command } from 'commander'
import { methods } from '../../core/methods/index.ts'

/** Lists the pitch-detection methods with their sources and settings. */
export const methodsCommand = (): Command =>
  new Command('methods')
    .description('List the pitch-detection methods.')
    .option('--json', 'as JSON')
    .action((options: { json?: true }) => {
      const list = methods.map(({ id, title, family, source, fields }) => ({ id, title, family, source, fields }))
      if (options.json) {
        process.stdout.write(`${JSON.stringify(list, null, 2)}\n`)
        return
      }
      for (const method of list) {
        process.stdout.write(`${method.id} (${method.family}): ${method.title}. ${method.source}\n`)
        for (const [name, field] of Object.entries(method.fields)) {
          process.stdout.write(
            `  ${name} = ${field.default} ${field.unit} (${field.min} to ${field.max}): ${field.help}\n`,
          )
        }
      }
    })
