/**
 * Reads one uploaded file without ever holding more than the largest that is
 * accepted. A body that is too large is let run past, so that the browser comes
 * to read the answer instead of a broken connection.
 */

export type Upload = { fileName: string; bytes: Uint8Array; fields: Record<string, string> }
export type UploadFault = 'not_a_form' | 'no_file' | 'too_large'

/** Names and boundaries of a form around its file. */
const FORM_BYTES = 64 * 1024
/** Beyond this the sender is cut off: nobody waits for an answer to that. */
const PATIENCE_BYTES = 512 * 1024 * 1024

/** The file in the field `file`, and the other fields beside it. */
export async function readUpload(request: Request, maxBytes: number): Promise<Upload | UploadFault> {
  const type = request.headers.get('content-type') ?? ''
  if (!type.startsWith('multipart/form-data') || !request.body) return 'not_a_form'
  const body = await readAtMost(request.body, maxBytes + FORM_BYTES)
  if (body === null) return 'too_large'
  const form = await new Response(body, { headers: { 'content-type': type } }).formData().catch(() => null)
  if (!form) return 'not_a_form'
  const file = form.get('file')
  if (!(file instanceof File) || file.size === 0) return 'no_file'
  if (file.size > maxBytes) return 'too_large'
  const fields: Record<string, string> = {}
  for (const [name, value] of form) if (typeof value === 'string') fields[name] = value
  return { fileName: file.name, bytes: new Uint8Array(await file.arrayBuffer()), fields }
}

/** The whole body, or null when it is longer; what is too much is counted and dropped. */
async function readAtMost(body: ReadableStream<Uint8Array>, max: number): Promise<Uint8Array<ArrayBuffer> | null> {
  let pieces: Uint8Array[] = []
  let length = 0
  for await (const piece of body) {
    length += piece.length
    if (length <= max) pieces.push(piece)
    else pieces = []
    if (length > PATIENCE_BYTES) return null
  }
  if (length > max) return null
  const whole = new Uint8Array(length)
  let at = 0
  for (const piece of pieces) {
    whole.set(piece, at)
    at += piece.length
  }
  return whole
}
