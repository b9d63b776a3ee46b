/**
 * How does a day lie on the sheet? Time runs down, one column a clinician, a
 * visit as tall as it is long. The sheet is a table whose rows are five minutes,
 * so that it prints, grows with its text and can be heard in order.
 */
import { Temporal } from '#lib/base/time.ts'

const GRAIN_MIN = 5
const ROWS_PER_HOUR = 60 / GRAIN_MIN

export type ToPlace = { visitId: string; clinicianId: string; startsAt: string; endsAt: string }

/** `visit` null = nothing booked here. `span` in rows. */
export type SheetCell = { clinicianId: string; span: number; visitId: string | null }
/** `hour` is set on the first row of an hour: its wall time, for the rule. */
export type SheetRow = { at: string; hour: string | null; cells: SheetCell[] }

/** Rows from the full hour before the first start to the full hour after the last end; empty without visits. */
export function daySheet(visits: readonly ToPlace[], clinicianIds: readonly string[], timeZone: string): SheetRow[] {
  const first = visits.reduce<string | null>(
    (least, { startsAt }) => (least === null || startsAt < least ? startsAt : least),
    null,
  )
  if (first === null) return []
  const opening = Temporal.Instant.from(first)
    .toZonedDateTimeISO(timeZone)
    .round({ smallestUnit: 'hour', roundingMode: 'floor' })
  const from = opening.epochMilliseconds
  const rowOf = (iso: string) => (Temporal.Instant.from(iso).epochMilliseconds - from) / (GRAIN_MIN * 60_000)
  const last = Math.max(...visits.map((visit) => rowOf(visit.endsAt)))
  const rowCount = Math.ceil(last / ROWS_PER_HOUR) * ROWS_PER_HOUR

  const columns = clinicianIds.map((clinicianId) => ({
    clinicianId,
    cells: column(
      visits
        .filter((visit) => visit.clinicianId === clinicianId)
        .map((visit) => ({
          visitId: visit.visitId,
          start: Math.floor(rowOf(visit.startsAt)),
          end: Math.ceil(rowOf(visit.endsAt)),
        }))
        .sort((a, b) => a.start - b.start),
      rowCount,
    ),
  }))
  return Array.from({ length: rowCount }, (_, row) => {
    const at = opening.add({ minutes: row * GRAIN_MIN })
    return {
      at: at.toInstant().toString(),
      hour: row % ROWS_PER_HOUR === 0 ? at.toPlainTime().toString({ smallestUnit: 'minute' }) : null,
      cells: columns.flatMap(({ clinicianId, cells }) => {
        const cell = cells.get(row)
        return cell ? [{ clinicianId, ...cell }] : []
      }),
    }
  })
}

type Placed = { visitId: string; start: number; end: number }

/** One clinician's cells by the row they begin in. Free time is cut at the full hours, where the rules are drawn. */
function column(placed: readonly Placed[], rowCount: number): Map<number, { span: number; visitId: string | null }> {
  const cells = new Map<number, { span: number; visitId: string | null }>()
  let row = 0
  const freeUntil = (end: number) => {
    while (row < end) {
      const hourEnd = (Math.floor(row / ROWS_PER_HOUR) + 1) * ROWS_PER_HOUR
      const span = Math.min(end, hourEnd) - row
      cells.set(row, { span, visitId: null })
      row += span
    }
  }
  for (const { visitId, start, end } of placed) {
    freeUntil(Math.max(start, row))
    cells.set(row, { span: Math.max(1, end - row), visitId })
    row = Math.max(row + 1, end)
  }
  freeUntil(rowCount)
  return cells
}
