/** A file may be 5 MB, not 50; and one that is too large never fills the memory. */
import { expect, test } from 'vitest'
import { readUpload } from '#app/api/imports/read-upload.ts'

const MB = 1024 * 1024
const MAX = 10 * MB

function formOf(bytes: Uint8Array<ArrayBuffer>): Request {
  const form = new FormData()
  form.set('commandKey', 'cmd_1')
  form.set('file', new File([bytes], 'referrals.csv', { type: 'text/csv' }))
  return new Request('http://localhost/api/imports', { method: 'POST', body: form })
}

/** A form whose file never ends by itself: `megabytes` of it are made as they are read. */
function endless(megabytes: number, seen: { pulled: number; heldMB: number }): Request {
  const piece = new Uint8Array(MB).fill(97)
  const head =
    '--x\r\ncontent-disposition: form-data; name="file"; filename="big.csv"\r\ncontent-type: text/csv\r\n\r\n'
  const body = new ReadableStream<Uint8Array>(
    {
      start: (controller) => controller.enqueue(new TextEncoder().encode(head)),
      pull: (controller) => {
        if (seen.pulled === megabytes) {
          controller.enqueue(new TextEncoder().encode('\r\n--x--\r\n'))
          controller.close()
          return
        }
        seen.pulled += 1
        controller.enqueue(piece.slice())
        seen.heldMB = Math.max(seen.heldMB, process.memoryUsage().arrayBuffers / MB)
      },
    },
    { highWaterMark: 0 },
  )
  const headers = { 'content-type': 'multipart/form-data; boundary=x' }
  return new Request('http://localhost/api/imports', { method: 'POST', body, headers, duplex: 'half' } as RequestInit)
}

test('a file of 5 MB arrives whole, with what was sent beside it', async () => {
  const bytes = new Uint8Array(5 * MB).fill(98)
  const upload = await readUpload(formOf(bytes), MAX)
  if (typeof upload === 'string') throw new Error(upload)
  expect(upload.fileName).toBe('referrals.csv')
  expect(upload.fields).toEqual({ commandKey: 'cmd_1' })
  expect(Buffer.compare(upload.bytes, bytes)).toBe(0)
})

test('a file of the largest size is accepted and one byte more is not', async () => {
  expect(await readUpload(formOf(new Uint8Array(MAX)), MAX)).toMatchObject({ fileName: 'referrals.csv' })
  expect(await readUpload(formOf(new Uint8Array(MAX + 1)), MAX)).toBe('too_large')
})

// The sender is read to the end, so that its browser shows the answer; what is too much is dropped on the way.
test('a file far too large is refused, read to its end, and never held in memory', async () => {
  const seen = { pulled: 0, heldMB: 0 }
  const before = process.memoryUsage().arrayBuffers / MB
  expect(await readUpload(endless(200, seen), MAX)).toBe('too_large')
  expect(seen.pulled).toBe(200)
  expect(seen.heldMB - before).toBeLessThan(150)
})

test('a form without a file, an empty file and no form at all are told apart from a large one', async () => {
  expect(await readUpload(formOf(new Uint8Array(0)), MAX)).toBe('no_file')
  const form = new FormData()
  form.set('commandKey', 'cmd_1')
  expect(await readUpload(new Request('http://localhost/', { method: 'POST', body: form }), MAX)).toBe('no_file')
  expect(await readUpload(new Request('http://localhost/', { method: 'POST', body: 'a,b' }), MAX)).toBe('not_a_form')
})
