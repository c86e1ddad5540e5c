/** Lists to tick, chips to tick, and number fields, in the project's shapes; behaviour and names come from React Aria. */
import type { ReactNode } from 'react'
import { Button, Checkbox, CheckboxGroup, Group, Input, Label, NumberField } from 'react-aria-components'
import type { Field } from '../../core/fields.ts'

export interface Option {
  readonly id: string
  readonly label: ReactNode
  readonly note?: string
}

const tick = (
  <svg width="16" height="16" viewBox="0 0 16 16" aria-hidden="true">
    <path d="M3 8.5 6.5 12 13 4.5" fill="none" stroke="#14171B" strokeWidth="2.4" />
  </svg>
)

export function TickList(props: {
  title: string
  options: readonly Option[]
  ticked: readonly string[]
  pairs?: boolean
  onTick(ticked: readonly string[]): void
}) {
  const { title, options, ticked, pairs, onTick } = props
  const ours = options.map((option) => option.id)
  return (
    <CheckboxGroup
      className="tick-group"
      value={ticked.filter((id) => ours.includes(id))}
      onChange={(next) => onTick([...ticked.filter((id) => !ours.includes(id)), ...next])}
    >
      <Label className="tick-title">{title}</Label>
      <div className={pairs ? 'tick-list pairs' : 'tick-list'}>
        {options.map((option) => (
          <Checkbox key={option.id} value={option.id} className="tick">
            <span className="box">{tick}</span>
            <span>
              {option.label}
              {option.note !== undefined && <span className="notes">{option.note}</span>}
            </span>
          </Checkbox>
        ))}
      </div>
    </CheckboxGroup>
  )
}

export function TickOne(props: { label: ReactNode; note?: string; ticked: boolean; onTick(ticked: boolean): void }) {
  return (
    <Checkbox className="tick" isSelected={props.ticked} onChange={props.onTick}>
      <span className="box">{tick}</span>
      <span>
        {props.label}
        {props.note !== undefined && <span className="notes">{props.note}</span>}
      </span>
    </Checkbox>
  )
}

export function Chips(props: {
  title: string
  /** For screen readers only: sight has it beside. */
  titleUnseen?: boolean
  options: readonly Option[]
  ticked: readonly string[]
  onTick(ticked: readonly string[]): void
}) {
  return (
    <CheckboxGroup className="tick-group" value={[...props.ticked]} onChange={props.onTick}>
      <Label className={props.titleUnseen ? 'unseen' : 'tick-title'}>{props.title}</Label>
      <div className="chips">
        {props.options.map((option) => (
          <Checkbox key={option.id} value={option.id} className="chip">
            {option.label}
          </Checkbox>
        ))}
      </div>
    </CheckboxGroup>
  )
}

/** A number as its field declares it: limits, unit and help come from there. */
export function FieldInput(props: {
  title: string
  field: Field
  value: number
  step?: number
  onValue(value: number): void
}) {
  const { title, field, value, step, onValue } = props
  const unit = field.unit === 'ratio' || field.unit === 'count' ? '' : `, ${field.unit}`
  return (
    <NumberField
      className="number-field"
      value={value}
      minValue={field.min}
      maxValue={field.max}
      step={step ?? (field.whole ? 1 : 0.01)}
      formatOptions={{ useGrouping: false, maximumFractionDigits: field.whole ? 0 : 3 }}
      onChange={(next) => {
        if (Number.isFinite(next)) onValue(next)
      }}
    >
      <Label>
        {title}
        {unit}
      </Label>
      <Group className="row">
        <Input />
        <Button slot="decrement" className="button">
          −
        </Button>
        <Button slot="increment" className="button">
          +
        </Button>
      </Group>
      <span className="notes">{field.help}</span>
    </NumberField>
  )
}
