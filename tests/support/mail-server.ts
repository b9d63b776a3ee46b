/** A real SMTP server inside the test, that can be told to misbehave as real ones do. */
import { once } from 'node:events'
import type { AddressInfo } from 'node:net'
import { type ParsedMail, simpleParser } from 'mailparser'
import { SMTPServer } from 'smtp-server'

/**
 * accept; answer a code at RCPT or after DATA; drop the line before the reply to DATA: refuse to keep it (the mail is
 * lost) or after keeping it (it was taken, but the sender cannot know).
 */
export type Behaviour =
  | 'accept'
  | { at: 'rcpt'; code: number; only?: string }
  | { at: 'data'; code: number }
  | { at: 'drop'; isKept: boolean }
  /** Reads the mail and lets its sender wait for an answer until it is told to go on. */
  | { at: 'hold'; until: Promise<void>; only?: string }

export type MailServer = {
  url: string
  /** What it kept, oldest first. */
  kept: ParsedMail[]
  /** The bytes of each, as they came over the line. */
  raw: Buffer[]
  behave(next: Behaviour): void
  stop(): Promise<void>
}

export async function startMailServer(): Promise<MailServer> {
  let behaviour: Behaviour = 'accept'
  const kept: ParsedMail[] = []
  const raw: Buffer[] = []
  const refusal = (code: number) => Object.assign(new Error('refused for the test'), { responseCode: code })
  const server = new SMTPServer({
    authOptional: true,
    disabledCommands: ['STARTTLS', 'AUTH'],
    logger: false,
    closeTimeout: 200,
    onRcptTo({ address }, _session, done) {
      const asked = behaviour
      if (asked !== 'accept' && asked.at === 'rcpt' && (asked.only ?? address) === address) done(refusal(asked.code))
      else done()
    },
    async onData(stream, session, done) {
      const parts: Buffer[] = []
      try {
        for await (const part of stream) parts.push(part as Buffer)
      } catch {
        // Whoever sent it is gone in the middle of it: there is no message.
        return
      }
      const source = Buffer.concat(parts)
      const asked = behaviour
      const isHeld = asked !== 'accept' && asked.at === 'hold'
      const to = session.envelope.rcptTo[0]?.address
      if (isHeld && (asked.only ?? to) === to) await asked.until
      if (asked === 'accept' || isHeld || asked.at === 'rcpt' || (asked.at === 'drop' && asked.isKept)) {
        raw.push(source)
        kept.push(await simpleParser(source))
      }
      if (asked === 'accept' || isHeld || asked.at === 'rcpt') done()
      else if (asked.at === 'data') done(refusal(asked.code))
      else if (asked.at === 'drop') for (const each of server.connections) if (each.session === session) each.close()
    },
  })
  // A broken line is what some of the tests are about.
  server.on('error', () => {})
  server.listen(0, '127.0.0.1')
  await once(server.server, 'listening')
  const { port } = server.server.address() as AddressInfo
  return {
    url: `smtp://127.0.0.1:${port}`,
    kept,
    raw,
    behave: (next) => {
      behaviour = next
    },
    stop: () => new Promise((resolve) => server.close(() => resolve())),
  }
}
