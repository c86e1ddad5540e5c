/** What the bench answers on demand, below the charts. */
import type { Study } from '../../core/study/study.ts'
import type { Column } from './columns.ts'
import { Fold } from './Fold.tsx'
import { PairedPart } from './PairedPart.tsx'

export function BenchParts({ study, column }: { study: Study; column: Column }) {
  return (
    <div className="bench-parts">
      <Fold title="Pair by pair" question="How much does one method differ from another in the same trials?">
        {() => <PairedPart study={study} column={column} />}
      </Fold>
    </div>
  )
}
