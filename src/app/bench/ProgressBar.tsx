/** How much of something is done. */
export function ProgressBar({ label, done, total }: { label: string; done: number; total: number }) {
  return (
    <div
      className="progress-bar"
      role="progressbar"
      aria-label={label}
      aria-valuemin={0}
      aria-valuemax={Math.max(1, total)}
      aria-valuenow={done}
    >
      <div style={{ transform: `scaleX(${total === 0 ? 0 : done / total})` }} />
    </div>
  )
}
