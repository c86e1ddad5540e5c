/** Ways to keep what is shown: a link that re-creates the study, the figures, the pictures, the raw outcomes. */
import { useState } from 'react'
import { Button, Dialog, DialogTrigger, Heading, Popover } from 'react-aria-components'
import { csvOfCells } from '../../core/score/table.ts'
import { headerOf, recordLine } from '../../core/study/record.ts'
import { copyLink } from '../copyLink.ts'
import { openOutcomes } from '../run/session.ts'
import { appVersion, engine } from '../run/version.ts'
import { saveFile } from '../savefile.ts'
import { useBench } from '../store.ts'
import { chartsSvg } from './chartsSvg.ts'

export function SaveMenu() {
  const { study, results, shown } = useBench()
  const [copied, setCopied] = useState(false)
  const name = `clatterbench-${study.id}-seed-${study.seed}`
  const summary = results?.summary ?? null
  const copy = async (): Promise<void> => setCopied(await copyLink('The link to this study'))
  const saveRun = (): void => {
    const outcomes = [...openOutcomes()].sort(([a], [b]) => a - b).flatMap(([, list]) => list)
    saveFile(`${name}.jsonl`, 'application/jsonl', [
      recordLine(headerOf(study, appVersion, engine())),
      ...outcomes.map(recordLine),
    ])
  }
  const saveCharts = (): void => {
    const charts = document.querySelector<HTMLElement>('.bench-main')
    if (charts !== null) saveFile(`${name}.svg`, 'image/svg+xml', [chartsSvg(charts, study)])
  }
  return (
    <DialogTrigger onOpenChange={() => setCopied(false)}>
      <Button className="button">Save</Button>
      <Popover className="popover" placement="top end" offset={8}>
        <Dialog className="dialog save-menu">
          <Heading slot="title" level={2}>
            Save or share
          </Heading>
          <Button className="button" onPress={() => void copy()}>
            {copied ? 'Link copied' : 'Copy the link'}
          </Button>
          <Button
            className="button"
            isDisabled={summary === null}
            onPress={() => summary !== null && saveFile(`${name}.csv`, 'text/csv', [csvOfCells(summary.cells)])}
          >
            Figures as CSV
          </Button>
          <Button
            className="button"
            isDisabled={summary === null}
            onPress={() =>
              summary !== null && saveFile(`${name}.json`, 'application/json', [JSON.stringify(summary, null, 1)])
            }
          >
            Figures as JSON
          </Button>
          <Button className="button" isDisabled={shown.as === 'table'} onPress={saveCharts}>
            Charts as SVG
          </Button>
          <Button className="button" isDisabled={summary === null} onPress={saveRun}>
            Every outcome as JSON Lines
          </Button>
        </Dialog>
      </Popover>
    </DialogTrigger>
  )
}
