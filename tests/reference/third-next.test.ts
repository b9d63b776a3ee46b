/**
 * Third next available start: IHI's measure (held slots excluded) with the
 * counting convention of WellSouth's toolkit (the same day is 0, calendar days,
 * weekends included). Worked example: asked on Monday 2 June; open on Tuesday 3,
 * Thursday 5 and Monday 9; Wednesday 4 is held for urgent patients: 7 days.
 */
import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import type { ClinicSession } from '#lib/domain/calendar/session.ts'
import { type Busy, prepareSupply } from '#lib/domain/calendar/supply.ts'
import { thirdNext } from '#lib/domain/calendar/third-next.ts'

const timeZone = 'America/New_York'
const at = (text: string) => Temporal.PlainDateTime.from(text).toZonedDateTime(timeZone).epochMilliseconds
const now = at('2025-06-02T09:00')
const workingHours = { timeZone, opensAt: '08:00', closesAt: '17:00' }

function oneSlot(date: string, durationMin = 30): ClinicSession {
  return {
    id: `ses_${date}`,
    owner: { kind: 'clinician', id: 'cli_1' },
    mode: 'video',
    siteId: null,
    roomId: null,
    timeZone,
    startsOn: date,
    opensAt: '10:00',
    durationMin,
    rule: null,
    validTo: null,
    grainMin: 15,
    bufferBeforeMin: 0,
    bufferAfterMin: 0,
    noticeMin: 0,
    urgentMin: 0,
    urgentReleaseHours: 0,
    exceptions: [],
  }
}

function third(sessions: ClinicSession[], busy: Busy[] = []) {
  const supply = prepareSupply(
    {
      sessions,
      holidays: [],
      clinicians: [{ id: 'cli_1', languages: ['en'] }],
      interpreters: [],
      licences: [],
      sites: [],
      rooms: [],
      busy,
    },
    now,
    now + 90 * 86_400_000,
  )
  return thirdNext(supply, { clinicianId: 'cli_1', mode: 'video', minutes: 30, now, timeZone, workingHours })
}

describe('third next available', () => {
  const june = ['2025-06-03', '2025-06-04', '2025-06-05', '2025-06-09'].map((date) => oneSlot(date))
  const held: Busy = { resource: 'clinician', id: 'cli_1', start: at('2025-06-04T10:00'), end: at('2025-06-04T10:30') }

  test('is 7 days in the worked example, because the held slot is not counted', () => {
    expect(third(june, [held])).toEqual({ days: 7, start: at('2025-06-09T10:00') })
  })

  test('would be 3 days if the held slot were open', () => {
    expect(third(june)?.days).toBe(3)
  })

  // Our own rule, not IHI's: time kept for urgent visits is not there for a routine patient, so it is no slot of theirs.
  test('does not count starts that are kept for urgent visits', () => {
    const keeping = june.map((session) => ({ ...session, urgentMin: session.startsOn === '2025-06-04' ? 30 : 0 }))
    expect(third(keeping)?.days).toBe(7)
  })

  test('is 0 on the same day', () => {
    expect(third([oneSlot('2025-06-02', 90)])).toEqual({ days: 0, start: at('2025-06-02T11:00') })
  })

  test('counts slots that could all be booked, not every start on the grain', () => {
    expect(third([oneSlot('2025-06-02', 75)])).toBeNull()
  })
})
