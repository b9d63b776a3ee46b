/**
 * Where in the United States is the patient, and what time is it there? The
 * state decides which clinician is licensed to examine; the zone decides when.
 *
 * Codes: United States Postal Service (Publication 28), from memory. A zone is
 * given only where the whole state keeps one by 49 CFR part 71 (from memory):
 * guessing in a divided state would put a visit an hour off, so there it is null
 * and a person is asked.
 */
export type UsState = { code: string; name: string; timeZone: string | null }

export const US_STATES = [
  ['AL', 'Alabama', 'America/Chicago'],
  ['AK', 'Alaska', null],
  ['AZ', 'Arizona', null],
  ['AR', 'Arkansas', 'America/Chicago'],
  ['CA', 'California', 'America/Los_Angeles'],
  ['CO', 'Colorado', 'America/Denver'],
  ['CT', 'Connecticut', 'America/New_York'],
  ['DE', 'Delaware', 'America/New_York'],
  ['DC', 'District of Columbia', 'America/New_York'],
  ['FL', 'Florida', null],
  ['GA', 'Georgia', 'America/New_York'],
  ['HI', 'Hawaii', 'Pacific/Honolulu'],
  ['ID', 'Idaho', null],
  ['IL', 'Illinois', 'America/Chicago'],
  ['IN', 'Indiana', null],
  ['IA', 'Iowa', 'America/Chicago'],
  ['KS', 'Kansas', null],
  ['KY', 'Kentucky', null],
  ['LA', 'Louisiana', 'America/Chicago'],
  ['ME', 'Maine', 'America/New_York'],
  ['MD', 'Maryland', 'America/New_York'],
  ['MA', 'Massachusetts', 'America/New_York'],
  ['MI', 'Michigan', null],
  ['MN', 'Minnesota', 'America/Chicago'],
  ['MS', 'Mississippi', 'America/Chicago'],
  ['MO', 'Missouri', 'America/Chicago'],
  ['MT', 'Montana', 'America/Denver'],
  ['NE', 'Nebraska', null],
  ['NV', 'Nevada', null],
  ['NH', 'New Hampshire', 'America/New_York'],
  ['NJ', 'New Jersey', 'America/New_York'],
  ['NM', 'New Mexico', 'America/Denver'],
  ['NY', 'New York', 'America/New_York'],
  ['NC', 'North Carolina', 'America/New_York'],
  ['ND', 'North Dakota', null],
  ['OH', 'Ohio', 'America/New_York'],
  ['OK', 'Oklahoma', 'America/Chicago'],
  ['OR', 'Oregon', null],
  ['PA', 'Pennsylvania', 'America/New_York'],
  ['RI', 'Rhode Island', 'America/New_York'],
  ['SC', 'South Carolina', 'America/New_York'],
  ['SD', 'South Dakota', null],
  ['TN', 'Tennessee', null],
  ['TX', 'Texas', null],
  ['UT', 'Utah', 'America/Denver'],
  ['VT', 'Vermont', 'America/New_York'],
  ['VA', 'Virginia', 'America/New_York'],
  ['WA', 'Washington', 'America/Los_Angeles'],
  ['WV', 'West Virginia', 'America/New_York'],
  ['WI', 'Wisconsin', 'America/Chicago'],
  ['WY', 'Wyoming', 'America/Denver'],
  ['AS', 'American Samoa', 'Pacific/Pago_Pago'],
  ['GU', 'Guam', 'Pacific/Guam'],
  ['MP', 'Northern Mariana Islands', 'Pacific/Saipan'],
  ['PR', 'Puerto Rico', 'America/Puerto_Rico'],
  ['VI', 'U.S. Virgin Islands', 'America/St_Thomas'],
].map(([code, name, timeZone]) => ({ code, name, timeZone })) as readonly UsState[]

const byCode = new Map(US_STATES.map((state) => [state.code, state]))
const byName = new Map(US_STATES.map((state) => [state.name.toLowerCase(), state]))

/** By two-letter code or full name, any case. */
export function findState(written: string): UsState | null {
  return byCode.get(written.toUpperCase()) ?? byName.get(written.toLowerCase()) ?? null
}
