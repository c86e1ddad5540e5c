/** What the bench answers on demand, below the charts. */
import type { Study } from '../../core/study/study.ts'
import type { Cells, Column } from './columns.ts'
import { EfficiencyPart } from './EfficiencyPart.tsx'
import { Fold } from './Fold.tsx'
import { PacePart } from './PacePart.tsx'
import { PairedPart } from './PairedPart.tsx'

export function BenchParts(props: { study: Study; cells: Cells; column: Column; picked: readonly string[] }) {
  const { study, cells, column, picked } = props
  return (
    <div className="bench-parts">
      <Fold title="Pair by pair" question="How much does one method differ from another in the same trials?">
        {() => <PairedPart study={study} column={column} />}
      </Fold>
      <Fold title="Against the bound" question="How much of what the sound holds does a method use?">
        {() => <EfficiencyPart study={study} cells={cells} column={column} picked={picked} />}
      </Fold>
      <Fold title="How fast on this machine" question="Which methods keep up live, and at what cost?">
        {() => <PacePart />}
      </Fold>
    </div>
  )
}
