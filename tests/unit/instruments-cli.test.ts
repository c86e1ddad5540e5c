/** The list of instruments as a caller of the command line sees it. */
import { describe, expect, it } from 'vitest'
import { cautions } from '../../src/core/instruments/cautions.ts'
import { instrumentFigures } from '../../src/core/instruments/figures.ts'
import { knownInstruments } from '../../src/core/instruments/podium.ts'
import { runCli } from './clirun.ts'

describe('instruments', () => {
  it('lists every instrument with its strings, its alarms and the cautions', async () => {
    const { code, out } = await runCli('instruments')
    expect(code).toBe(0)
    expect(out).toContain('Invented')
    for (const { id, title, player } of knownInstruments) expect(out).toContain(`${id}: ${title}. ${player}`)
    expect(out.match(/ALARM/g)).toHaveLength(knownInstruments.flatMap((one) => instrumentFigures(one).alarms).length)
    for (const caution of cautions) expect(out).toContain(caution)
  })

  it('says the same as JSON, with null for what nobody knows', async () => {
    const { code, out } = await runCli('instruments', '--json')
    expect(code).toBe(0)
    const listed = JSON.parse(out)
    expect(listed.note).toMatch(/^Invented/)
    expect(listed.cautions).toEqual(cautions)
    expect(listed.instruments.map((one: { id: string }) => one.id)).toEqual(knownInstruments.map(({ id }) => id))
    const rhythm = listed.instruments[0]
    expect(rhythm.strings[0]).toMatchObject({ id: 'ring-rhythm-1', note: 'E4', capoHz: null })
    expect(rhythm.strings[0].tensionN).toMatchObject({ status: 'computed', assumes: [] })
    expect(rhythm.totalPullN.value).toBe(instrumentFigures(knownInstruments[0]).totalPullN.value)
    const nylon = listed.instruments.find((one: { kind: string }) => one.kind === 'nylon')
    expect(nylon.strings[0].strengthShare.value).toBeNull()
  })

  it('refuses what it does not know', async () => {
    expect((await runCli('instruments', '--csv')).code).toBe(2)
    expect((await runCli('instruments', 'extra')).code).toBe(2)
    expect((await runCli('instruments', '--help')).code).toBe(0)
  })
})
