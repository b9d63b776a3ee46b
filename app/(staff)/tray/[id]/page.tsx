/** One mail as the patient sees it, with its address, its text and its calendar entry. Its links work. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { mailTray } from '#app/_server/mail-tray.ts'
import { staffContext } from '#app/_server/staff-page.ts'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import { Mark } from '#app/_ui/mark.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { KeyValueList } from '#app/_ui/ruled.tsx'
import { Section, Split } from '#app/_ui/section.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import type { TrayMail } from '#lib/domain/messages/mail.ts'
import { readTrayMail } from '#lib/usecases/read-tray-mail.ts'
import { faultWords, KIND_WORDS, STATUS_MARKS, STATUS_WORDS } from '../words.ts'
import styles from './tray-mail.module.css'

export const metadata: Metadata = { title: 'Mail' }

export default async function TrayMailPage({ params }: PageProps<'/tray/[id]'>) {
  const ctx = await staffContext('tray.read')
  const { id } = await params
  const result = await readTrayMail(ctx, mailTray(), { messageId: id })
  if (!result.ok) notFound()
  const { line, mail, timeZone } = result.value
  const when = <TimeText at={line.at} timeZone={timeZone} />
  return (
    <>
      <BackLink href="/tray">Mail tray</BackLink>
      <Opener kicker="Mail">{KIND_WORDS[line.kind]}</Opener>
      <KeyValueList
        items={[
          {
            name: 'For',
            value:
              line.referralId === null ? (
                line.patientName
              ) : (
                <Link href={`/referrals/${line.referralId}`}>{line.patientName}</Link>
              ),
          },
          {
            name: 'How it stands',
            value: (
              <Mark state={STATUS_MARKS[line.status]}>
                {[STATUS_WORDS[line.status], faultWords(line)].filter(Boolean).join(': ')}
              </Mark>
            ),
          },
          { name: line.status === 'sent' ? 'Sent' : 'Due', value: when },
        ]}
      />
      {mail === null ? (
        <EmptyState>
          {line.status === 'sent'
            ? 'This mail went out by the mail server; what it said is not kept here.'
            : 'There is nothing to see yet: a mail is written when it is due, from what is true then.'}
        </EmptyState>
      ) : (
        <Opened mail={mail} id={line.messageId} />
      )}
    </>
  )
}

function Opened({ mail, id }: { mail: TrayMail; id: string }) {
  return (
    <Split
      beside={
        <>
          <Section heading="Envelope">
            <KeyValueList
              items={[
                { name: 'From', value: mail.from },
                { name: 'To', value: mail.to },
                { name: 'Subject', value: mail.subject },
                { name: 'Message-ID', value: <code className={styles.code}>{mail.messageId}</code> },
              ]}
            />
          </Section>
          <Section heading="As plain text">
            <pre className={styles.text}>{mail.text}</pre>
          </Section>
          {mail.invite !== null && (
            <Section heading="Calendar entry">
              <pre className={styles.text}>{mail.invite}</pre>
            </Section>
          )}
        </>
      }
    >
      <Section heading="As the patient sees it">
        <iframe
          className={styles.mail}
          title={`The mail: ${mail.subject}`}
          src={`/tray/${id}/mail`}
          sandbox="allow-popups allow-popups-to-escape-sandbox"
        />
        <p>
          Its links work. They open the patient’s pages in this browser, beside your own sign-in. The date of birth that
          they ask for stands on the referral.
        </p>
      </Section>
    </Split>
  )
}
