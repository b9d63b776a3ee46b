/** The file to start from: the header and one example row. */
import { staffRequest } from '#app/_server/staff-page.ts'
import { csvTemplate } from '#lib/domain/intake/csv.ts'

export async function GET(request: Request): Promise<Response> {
  const allowed = await staffRequest(request, 'referral.import')
  if ('refusal' in allowed) return allowed.refusal
  return new Response(csvTemplate(), {
    headers: {
      'content-type': 'text/csv; charset=utf-8',
      'content-disposition': 'attachment; filename="referrals-template.csv"',
    },
  })
}
