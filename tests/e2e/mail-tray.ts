/**
 * The mail that the app under test would have sent. With no mail server set it keeps every message in its tray, one file
 * each; this reads it as a mail program would.
 */
import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { expect } from '@playwright/test'
import { type ParsedMail, simpleParser } from 'mailparser'

export type ReceivedMail = { subject: string; text: string; html: string; invite: string | null; links: string[] }

/** Waits for a mail to this address whose subject matches, and opens the newest. */
export async function mailTo(address: string, subject: RegExp): Promise<ReceivedMail> {
  let found: ParsedMail | undefined
  await expect
    .poll(
      async () => {
        const mails = (await readTray()).filter((mail) => isFor(mail, address) && subject.test(mail.subject ?? ''))
        found = mails.sort((a, b) => Number(b.date) - Number(a.date))[0]
        return found !== undefined
      },
      { message: `a mail to ${address} about ${subject}`, timeout: 30_000 },
    )
    .toBe(true)
  const html = found?.html || ''
  const invite = found?.attachments.find(({ contentType }) => contentType === 'text/calendar')
  return {
    subject: found?.subject ?? '',
    text: found?.text ?? '',
    html,
    invite: invite?.content.toString('utf8') ?? null,
    links: [...html.matchAll(/href="([^"]+)"/g)].map(([, href = '']) => href.replaceAll('&amp;', '&')),
  }
}

function readTray(): Promise<ParsedMail[]> {
  const folder = join(process.env.E2E_DATA_DIR ?? '', 'tray')
  const names = existsSync(folder) ? readdirSync(folder).filter((name) => name.endsWith('.eml')) : []
  return Promise.all(names.map((name) => simpleParser(readFileSync(join(folder, name)))))
}

function isFor(mail: ParsedMail, address: string): boolean {
  const groups = Array.isArray(mail.to) ? mail.to : mail.to ? [mail.to] : []
  return groups.flatMap(({ value }) => value).some((one) => one.address?.toLowerCase() === address.toLowerCase())
}
