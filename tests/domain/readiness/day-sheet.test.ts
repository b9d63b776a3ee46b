import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { daySheet, type ToPlace } from '#lib/domain/readiness/day-sheet.ts'

const zone = 'America/New_York'
const visit = (visitId: string, clinicianId: string, startsAt: string, endsAt: string): ToPlace => ({
  visitId,
  clinicianId,
  startsAt,
  endsAt,
})

describe('the day sheet', () => {
  test('an empty day has no rows', () => {
    expect(daySheet([], ['cli_1'], zone)).toEqual([])
  })

  test('begins and ends on full hours of the clinic and is twelve rows an hour', () => {
    const rows = daySheet([visit('v1', 'cli_1', '2026-03-10T13:20:00Z', '2026-03-10T14:00:00Z')], ['cli_1'], zone)
    expect(rows).toHaveLength(12)
    expect(rows[0]).toMatchObject({ hour: '09:00', at: '2026-03-10T13:00:00Z' })
  })

  test('a visit of forty minutes is eight rows tall and starts where it starts', () => {
    const rows = daySheet([visit('v1', 'cli_1', '2026-03-10T13:20:00Z', '2026-03-10T14:00:00Z')], ['cli_1'], zone)
    expect(rows[4]?.cells).toEqual([{ clinicianId: 'cli_1', span: 8, visitId: 'v1' }])
  })

  test('a zone with half-hour offsets still begins on its own full hour', () => {
    const rows = daySheet(
      [visit('v1', 'c', '2026-06-10T00:10:00Z', '2026-06-10T00:30:00Z')],
      ['c'],
      'Australia/Lord_Howe',
    )
    expect(rows[0]?.hour).toBe('10:00')
  })

  // What the table needs to be a table: in every row the spans of all columns add up.
  test('every row of every column is covered exactly once, and no visit is lost', () => {
    const start = Date.parse('2026-03-10T13:00:00Z')
    const day = fc
      .array(
        fc.record({
          gap: fc.integer({ min: 0, max: 20 }),
          length: fc.integer({ min: 1, max: 20 }),
          clinician: fc.integer({ min: 0, max: 2 }),
        }),
        { minLength: 1, maxLength: 25 },
      )
      .map((parts) => {
        const reached = [0, 0, 0]
        return parts.map(({ gap, length, clinician }, index) => {
          const from = (reached[clinician] ?? 0) + gap
          reached[clinician] = from + length
          const iso = (rows: number) => new Date(start + rows * 300_000).toISOString().replace('.000', '')
          return visit(`v${index}`, `c${clinician}`, iso(from), iso(from + length))
        })
      })
    fc.assert(
      fc.property(day, (visits) => {
        const ids = ['c0', 'c1', 'c2']
        const rows = daySheet(visits, ids, zone)
        for (const id of ids) {
          const spans = rows.flatMap((row) =>
            row.cells.filter((cell) => cell.clinicianId === id).map((cell) => cell.span),
          )
          expect(spans.reduce((sum, span) => sum + span, 0)).toBe(rows.length)
        }
        const shown = rows.flatMap((row) => row.cells.flatMap((cell) => cell.visitId ?? []))
        expect(shown.sort()).toEqual(visits.map((each) => each.visitId).sort())
      }),
    )
  })
})
