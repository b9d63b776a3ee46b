/**
 * The bytes of a mail (RFC 5322, MIME RFC 2045 and 2046). nodemailer decides about the parts, the headers and their
 * encodings; only the joining is done here, because its own goes letter by letter through a dozen streams and takes longer
 * than sending.
 */
import type { SendMailOptions } from 'nodemailer'
import MailComposer from 'nodemailer/lib/mail-composer'
import type MimeNode from 'nodemailer/lib/mime-node'
import { invariant } from '#lib/base/invariant.ts'

export type ComposedMail = { envelope: { from: string | false; to: string[] }; raw: Buffer }

/** Texts and files that are at hand; nothing is read or fetched for a mail. */
export function composeMail(message: SendMailOptions): ComposedMail {
  const root = new MailComposer({
    ...message,
    textEncoding: 'base64',
    disableFileAccess: true,
    disableUrlAccess: true,
  }).compile()
  const { from, to } = root.getEnvelope()
  return { envelope: { from, to }, raw: Buffer.from(partOf(root), 'latin1') }
}

/** One part with those inside it; latin1, a letter a byte: everything is ASCII by now. */
function partOf(node: MimeNode): string {
  const head = `${node.buildHeaders()}\r\n\r\n`
  if (!node.boundary) return `${head}${bodyOf(node)}`
  const parts = node.childNodes.map((child) => `--${node.boundary}\r\n${partOf(child)}\r\n`)
  return `${head}${parts.join('')}--${node.boundary}--\r\n`
}

function bodyOf(node: MimeNode): string {
  const { content } = node
  invariant(typeof content === 'string' || Buffer.isBuffer(content), 'every part is at hand')
  if (node.getTransferEncoding() === '7bit') return String(content).replace(/\r?\n/g, '\r\n')
  const text = Buffer.isBuffer(content) ? content : Buffer.from(content, 'utf8')
  // RFC 2045 6.8: lines of at most 76 letters.
  return text.toString('base64').replace(/.{76}(?!$)/g, '$&\r\n')
}
