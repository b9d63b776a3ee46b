/** One table of the learning pages as a file for a spreadsheet, of the same days and people as the page. */
import { staffRequest } from '#app/_server/staff-page.ts'
import { csvOf } from '#lib/base/csv.ts'
import { invariant } from '#lib/base/invariant.ts'
import { rowsOf } from '#lib/domain/learning/report.ts'
import { TOPICS } from '#lib/domain/learning/topics.ts'
import { learningFilters, readLearning } from '#lib/usecases/read-learning.ts'

type Context = RouteContext<'/clinic/learning/[topic]/[table]'>

export async function GET(request: Request, { params }: Context): Promise<Response> {
  const allowed = await staffRequest(request, 'learning.read')
  if ('refusal' in allowed) return allowed.refusal
  const { topic: given, table: file } = await params
  const topic = TOPICS.find((each) => each === given)
  if (topic === undefined) return new Response(null, { status: 404 })
  const query = Object.fromEntries(new URL(request.url).searchParams)
  const result = await readLearning(allowed.ctx, { ...learningFilters.parse(query), topic })
  invariant(result.ok, 'the route has asked for the same permission')
  const { tables, period, smallBelow } = result.value
  const table = tables.find(({ id }) => `${id}.csv` === file)
  if (!table) return new Response(null, { status: 404 })
  return new Response(csvOf(rowsOf(table, smallBelow)), {
    headers: {
      'content-type': 'text/csv; charset=utf-8',
      'content-disposition': `attachment; filename="${topic}-${table.id}-${period.from}-to-${period.to}.csv"`,
      'cache-control': 'no-store',
    },
  })
}
