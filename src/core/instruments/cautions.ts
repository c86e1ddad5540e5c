/** What a page and the command line say beside these figures. */
export const cautions: readonly string[] = [
  'A breaking string can hit an eye. Keep your face away, turn slowly, and wear glasses when you fit or raise strings.',
  'Other gauges or tunings change the pull on neck and bridge. Neck adjustment belongs to a qualified repairer.',
  'Figures are estimates from diameters and handbook values. The string maker and the instrument maker know better.',
]
