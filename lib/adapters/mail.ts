/**
 * Out goes the mail: by the clinic's mail server, or into the tray, a folder that staff can open in the app. Both write
 * the very same message, under a Message-ID made from the message's own id, so that a repeat is recognisable as one.
 */
import { mkdir, readFile, rename, writeFile } from 'node:fs/promises'
import { join } from 'node:path'
import { simpleParser } from 'mailparser'
import nodemailer, { type SendMailOptions } from 'nodemailer'
import { err, ok } from '#lib/base/result.ts'
import type { MailFault, MailPort, OutgoingMail, TrayMail, TrayPort } from '#lib/domain/messages/mail.ts'
import { composeMail } from './compose-mail.ts'

export type MailSettings = { smtpUrl: string | null; dataDir: string; mailFrom: string; baseUrl: string }

/** Also closes the server's connections when the process ends. */
export type Mailer = MailPort & { close(): void }

/** The mail server that the settings name, or the tray. */
export function mailPort(settings: MailSettings): Mailer {
  return settings.smtpUrl === null ? trayMailer(settings) : smtpMailer(settings, settings.smtpUrl)
}

/** Long enough for a slow server, short enough that a dead one does not hold up the others. */
const PATIENCE_MS = 30_000

function smtpMailer(settings: MailSettings, url: string): Mailer {
  const transport = nodemailer.createTransport({
    url,
    pool: true,
    // The queue decides about repeats: a library that sends again by itself would be a second, silent one.
    maxRequeues: 0,
    connectionTimeout: PATIENCE_MS,
    greetingTimeout: PATIENCE_MS,
    socketTimeout: PATIENCE_MS,
  })
  return {
    async send(mail) {
      try {
        await transport.sendMail(composeMail(toMessage(mail, settings)) as SendMailOptions)
        return ok({ accepted: true })
      } catch (error) {
        return err(faultOf(error))
      }
    },
    close: () => transport.close(),
  }
}

/**
 * RFC 5321 4.2.1: 4yz is transient, 5yz permanent. 503 speaks of the session, and a refused sign-in (RFC 4954) of our
 * settings, not of this mail: both may pass once mended. No reply at all is a broken connection.
 */
function faultOf(error: unknown): MailFault {
  const { code, responseCode } = error as { code?: string; responseCode?: number }
  if (responseCode !== undefined && responseCode >= 500 && responseCode !== 503 && code !== 'EAUTH')
    return { kind: 'give_up', code: String(responseCode) }
  if (code === 'EENVELOPE' && responseCode === undefined) return { kind: 'give_up', code: 'bad_address' }
  return { kind: 'retry', code: responseCode === undefined ? (code ?? 'unknown').toLowerCase() : String(responseCode) }
}

function trayMailer(settings: MailSettings): Mailer {
  return {
    async send(mail) {
      const { raw } = composeMail(toMessage(mail, settings))
      const path = pathOf(settings.dataDir, mail.messageId)
      await mkdir(folderOf(settings.dataDir), { recursive: true })
      // Written whole or not at all; a repeat puts the same message in the same place.
      await writeFile(`${path}.part`, raw)
      await rename(`${path}.part`, path)
      return ok({ accepted: true })
    },
    close() {},
  }
}

function toMessage(mail: OutgoingMail, { mailFrom, baseUrl }: MailSettings): SendMailOptions {
  return {
    messageId: `<${mail.messageId}@${new URL(baseUrl).hostname}>`,
    from: mailFrom,
    to: { name: '', address: mail.to },
    subject: mail.subject,
    html: mail.html,
    text: mail.text,
    ...(mail.invite && {
      icalEvent: { method: mail.invite.method, filename: 'visit.ics', content: mail.invite.content },
    }),
    ...(mail.print && {
      attachments: [
        { filename: mail.print.filename, content: Buffer.from(mail.print.content), contentType: 'application/pdf' },
      ],
    }),
    // RFC 3834 5: nobody's holiday notice answers a program.
    headers: { 'Auto-Submitted': 'auto-generated' },
  }
}

/** Reads what was put into the tray. */
export function trayPort({ dataDir }: Pick<MailSettings, 'dataDir'>): TrayPort {
  return {
    async read(messageId) {
      const source = await readFile(pathOf(dataDir, messageId)).catch((error: NodeJS.ErrnoException) => {
        if (error.code === 'ENOENT') return null
        throw error
      })
      return source && parse(source)
    },
  }
}

async function parse(source: Buffer): Promise<TrayMail> {
  const mail = await simpleParser(source)
  const invite = mail.attachments.find(({ contentType }) => contentType === 'text/calendar')
  const to = Array.isArray(mail.to) ? mail.to : mail.to ? [mail.to] : []
  return {
    from: mail.from?.text ?? '',
    to: to.map(({ text }) => text).join(', '),
    subject: mail.subject ?? '',
    sentAt: mail.date?.toISOString() ?? null,
    messageId: mail.messageId ?? '',
    html: mail.html || '',
    text: mail.text ?? '',
    invite: invite?.content.toString('utf8') ?? null,
  }
}

function folderOf(dataDir: string): string {
  return join(/* turbopackIgnore: true */ dataDir, 'tray')
}

/** Ids are made by us, but a path is a path. */
function pathOf(dataDir: string, messageId: string): string {
  if (!/^[A-Za-z0-9_-]+$/.test(messageId)) throw new Error('not a message id')
  return join(folderOf(dataDir), `${messageId}.eml`)
}
