/** The waits as a file for a spreadsheet. */
import { staffRequest } from '#app/_server/staff-page.ts'
import { csvOf } from '#lib/base/csv.ts'
import { invariant } from '#lib/base/invariant.ts'
import { readWaits } from '#lib/usecases/read-waits.ts'

const HEADER = [
  'clinician',
  'credentials',
  'mode',
  'minutes',
  'third_next_available_days',
  'third_open_start',
  'fewer_than_three_within_days',
  'time_zone',
  'worked_out_at',
]

export async function GET(request: Request): Promise<Response> {
  const allowed = await staffRequest(request, 'waits.read')
  if ('refusal' in allowed) return allowed.refusal
  const result = await readWaits(allowed.ctx)
  invariant(result.ok, 'the route has asked for the same permission')
  const { computedAt, timeZone, horizonDays, minutes, lines } = result.value
  const rows = lines.map(({ name, credentials, mode, third }) => [
    name,
    credentials,
    mode,
    minutes,
    third?.days ?? '',
    third?.startsAt ?? '',
    third === null ? horizonDays : '',
    timeZone,
    computedAt,
  ])
  return new Response(csvOf([HEADER, ...rows]), {
    headers: {
      'content-type': 'text/csv; charset=utf-8',
      'content-disposition': 'attachment; filename="waits.csv"',
      'cache-control': 'no-store',
    },
  })
}
