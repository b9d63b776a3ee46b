/** Takes a file of referrals in. A route handler, because a server action takes 1 MB at most. */
import { createHash } from 'node:crypto'
import { staffRequest } from '#app/_server/staff-page.ts'
import { REFERRAL_FILE_MAX_BYTES } from '#lib/domain/intake/referral-file.ts'
import { importReferrals } from '#lib/usecases/import-referrals.ts'
import { readUpload } from './read-upload.ts'

export async function POST(request: Request): Promise<Response> {
  const allowed = await staffRequest(request, 'referral.import')
  if ('refusal' in allowed) return allowed.refusal
  const upload = await readUpload(request, REFERRAL_FILE_MAX_BYTES)
  if (upload === 'too_large') return tooLarge()
  if (typeof upload === 'string') return seeOther(`/referrals/import?problem=${upload}`)

  const { bytes, fileName, fields } = upload
  const key = fields.commandKey ?? ''
  if (key === '') return seeOther('/referrals/import?problem=not_a_form')
  const result = await importReferrals(allowed.ctx, { key, kind: kindOf(bytes), fileName, bytes })
  if (result.ok) return seeOther(`/referrals/import/${result.value.importId}`)
  switch (result.error.code) {
    case 'file_too_large':
      return tooLarge()
    case 'not_allowed':
      return seeOther('/not-allowed')
    case 'command_of_someone_else':
      return seeOther('/referrals/import?problem=sent_before')
  }
}

/** FHIR begins with a brace (JSON) or an angle bracket (XML, refused with its own words); a CSV header with neither. */
function kindOf(bytes: Uint8Array): 'csv' | 'fhir' {
  const head = new TextDecoder().decode(bytes.subarray(0, 64)).trimStart()
  return head.startsWith('{') || head.startsWith('[') || head.startsWith('<') ? 'fhir' : 'csv'
}

function seeOther(path: string): Response {
  return new Response(null, { status: 303, headers: { location: path, 'cache-control': 'no-store' } })
}

const LOOK = 'body{max-width:34em;margin:4rem auto;padding:0 1rem;font:1.0625rem/1.5 system-ui,sans-serif}'
const LOOK_HASH = createHash('sha256').update(LOOK).digest('base64')

/** Answered by hand: a page of the framework has no way to carry this status. */
function tooLarge(): Response {
  const most = REFERRAL_FILE_MAX_BYTES / 1024 / 1024
  const page = `<!doctype html><html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><meta name="color-scheme" content="light dark"><title>The file is too large – Farstep</title><style>${LOOK}</style></head><body><main><h1>The file is too large</h1><p>A file may have up to ${most} MB. Nothing of it was brought in.</p><p>Split it into several files, each with the header row, and bring them in one after the other. A referral that is in two of them comes in once.</p><p><a href="/referrals/import">Choose another file</a></p></main></body></html>`
  return new Response(page, {
    status: 413,
    headers: {
      'content-type': 'text/html; charset=utf-8',
      'cache-control': 'no-store',
      'content-security-policy': `default-src 'none'; style-src 'sha256-${LOOK_HASH}'; base-uri 'none'; frame-ancestors 'none'; form-action 'none'`,
    },
  })
}
