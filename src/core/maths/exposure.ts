/**
 * How long a day an ear may be exposed to a level, by the recommended limit of NIOSH: 85 dBA for 8 hours, halved by every
 * 3 dB more (Criteria for a Recommended Standard: Occupational Noise Exposure, 1998, eq. in section 1.1.1).
 * A limit for work places, not a promise that no harm is done. Local rules may be stricter.
 */

const limitDba = 85
const limitS = 8 * 3600
const exchangeDb = 3

export const longestDailyS = (levelDba: number): number => limitS / 2 ** ((levelDba - limitDba) / exchangeDb)
