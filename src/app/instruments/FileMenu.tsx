/** The instruments as a file, both ways. A file that is refused changes nothing and says why, where the person is looking. */
import { Button, Dialog, DialogTrigger, FileTrigger, Heading, Popover } from 'react-aria-components'
import { Problem } from '../../core/problem.ts'
import { saveText, textOfInstruments } from './saveFile.ts'
import { instrumentsOfFile } from './shelf.ts'
import { openInstrument, shelfOf, takeIn, useInstruments } from './store.ts'

/** A list of a thousand instruments takes half a megabyte; what is much larger is something else. */
const mostBytes = 20_000_000

async function read(file: File): Promise<void> {
  try {
    if (file.size > mostBytes) throw new Problem(`${file.size} bytes is above ${mostBytes} bytes`, file.name)
    takeIn(instrumentsOfFile(await file.text(), file.name), file.name)
  } catch (cause) {
    const what = cause instanceof Problem ? cause.sentence : `${file.name} could not be read`
    useInstruments.setState({ said: null, notice: { text: `${what}. Nothing was changed; pick another file.` } })
  }
}

export function FileMenu() {
  const shelf = useInstruments(shelfOf)
  const open = useInstruments(openInstrument)
  return (
    <DialogTrigger>
      <Button className="button">File</Button>
      <Popover className="popover" placement="bottom end" offset={8}>
        <Dialog className="dialog save-menu">
          {({ close }) => (
            <>
              <Heading slot="title" level={2}>
                Instruments as a file
              </Heading>
              <Button
                className="button"
                onPress={() => {
                  saveText('clatterbench-instruments.json', textOfInstruments(shelf))
                  close()
                }}
              >
                Save all {shelf.length} as JSON
              </Button>
              {open !== undefined && (
                <Button
                  className="button"
                  onPress={() => {
                    saveText(`clatterbench-${open.id}.json`, textOfInstruments([open]))
                    close()
                  }}
                >
                  Save the open one as JSON
                </Button>
              )}
              <FileTrigger
                acceptedFileTypes={['.json', 'application/json']}
                onSelect={(files) => {
                  const file = files?.[0]
                  if (file !== undefined) void read(file)
                  close()
                }}
              >
                <Button className="button">Open a JSON file</Button>
              </FileTrigger>
              <p className="notes">What a file holds is added to the list; nothing in it is overwritten.</p>
            </>
          )}
        </Dialog>
      </Popover>
    </DialogTrigger>
  )
}
