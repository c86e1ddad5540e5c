/** A string's name that opens all its figures, side by side, each with what it assumes. */
import { Button, Dialog, DialogTrigger, Heading, Popover } from 'react-aria-components'
import type { StringFigures } from '../../core/instruments/figures.ts'
import type { Reckoning } from '../../core/instruments/reckoning.ts'
import { useNarrow } from '../bench/size.ts'
import { alarmPercent } from './figureList.ts'
import { Alarm, type Side, SideMark, Told } from './Marks.tsx'
import { inHundredThousandths, inPercent, written } from './sentences.ts'

type Row = readonly [string, (string: StringFigures) => Reckoning, number]

const rows: readonly Row[] = [
  ['Tension, N', (string) => string.tensionN, 1],
  ['Weight of a metre, g', (string) => ({ ...string.massKgPerM, value: 1000 * string.massKgPerM.value }), 3],
  ['Stress in wire or core, MPa', (string) => string.stressMpa, 0],
  ['Least breaking load, N', (string) => string.breakingLoadN, 0],
  ['Load, % of that', (string) => inPercent(string.strengthShare), 0],
  [`Half steps up to the alarm at ${alarmPercent} %`, (string) => string.semitonesToAlarm, 1],
  ['Stiffness B, × 10⁻⁵', (string) => inHundredThousandths(string.stiffness), 1],
  ['Stretch stiffness over tension, EA/T', (string) => string.axialRatio, 0],
  ['A degree of peg, c', (string) => string.centsPerDegree, 2],
  ['A kelvin warmer, c', (string) => string.centsPerKelvin, 1],
]

export interface SidedString {
  readonly side: Side
  readonly string: StringFigures
}

export function StringWord({ number, name, sides }: { number: number; name: string; sides: readonly SidedString[] }) {
  const narrow = useNarrow()
  return (
    <DialogTrigger>
      <Button className="string-word" aria-label={`String ${number}, ${name}: all figures`}>
        <span className="string-number">{number}</span> <span className="string-name">{name}</span>
      </Button>
      <Popover className="popover" placement={narrow ? 'bottom start' : 'right top'} offset={2}>
        <Dialog className="dialog string-dialog">
          {({ close }) => (
            <>
              <Heading slot="title" level={2}>
                String {number}
              </Heading>
              {sides.map(({ side, string }) => (
                <div key={side} className="string-side">
                  <SideMark side={side} />
                  <p>
                    <strong>{string.note}</strong>, {string.make}
                    <span className="notes">{pitches(string)}</span>
                    {string.alarm !== null && (
                      <span className="notes">
                        <Alarm /> {string.alarm}
                      </span>
                    )}
                  </p>
                </div>
              ))}
              <FigureTable sides={sides} />
              <div className="dialog-foot">
                <Button className="button" onPress={close}>
                  Close
                </Button>
              </div>
            </>
          )}
        </Dialog>
      </Popover>
    </DialogTrigger>
  )
}

function pitches({ targetHz, fret, openHz, capoHz }: StringFigures): string {
  const tune = `tune to ${written(targetHz, 2)} Hz${fret === 0 ? '' : ` with the capo at ${fret}`}`
  const open = fret === 0 ? '' : `; open ${written(openHz, 2)} Hz`
  return `${tune}${open}${capoHz === null || fret !== 0 ? '' : `; with the capo ${written(capoHz, 2)} Hz`}`
}

/** What several figures assume stands once, numbered. */
function FigureTable({ sides }: { sides: readonly SidedString[] }) {
  const assumed = (read: Row[1]): readonly string[] => sides.flatMap(({ string }) => read(string).assumes)
  const assumptions = [...new Set(rows.flatMap(([, read]) => assumed(read)))]
  return (
    <>
      <table className="string-figures">
        <thead>
          <tr>
            <th scope="col">Figure</th>
            {sides.map(({ side }) => (
              <th key={side} scope="col">
                <SideMark side={side} />
                <span className="unseen">{side} set-up</span>
              </th>
            ))}
            <th scope="col">assumes</th>
          </tr>
        </thead>
        <tbody>
          {rows.map(([title, read, places]) => (
            <tr key={title}>
              <th scope="row">{title}</th>
              {sides.map(({ side, string }) => (
                <td key={side}>
                  <Told figure={read(string)} places={places} />
                </td>
              ))}
              <td className="notes">
                {[...new Set(assumed(read).map((one) => assumptions.indexOf(one) + 1))]
                  .sort((a, b) => a - b)
                  .join(', ') || 'nothing'}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      <ol className="string-assumptions notes">
        {assumptions.map((assumption) => (
          <li key={assumption}>{assumption}</li>
        ))}
      </ol>
    </>
  )
}
