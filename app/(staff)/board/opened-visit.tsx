/** An opened visit: every item with who acts and who said so, everything that can't be done, whom to call, and what to do. */
import Link from 'next/link'
import type { ReactNode } from 'react'
import { Mark } from '#app/_ui/mark.tsx'
import { PhoneNumber } from '#app/_ui/phone-link.tsx'
import { KeyValueList, RuledTable } from '#app/_ui/ruled.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { Temporal } from '#lib/base/time.ts'
import { ITEM_WORDS } from '#lib/domain/readiness/items.ts'
import type { ShownVisit } from '#lib/usecases/read-board.ts'
import { ageWords } from '#lib/words/time-words.ts'
import { Contact } from '../visits/contact.tsx'
import type { Act, BoardAddress } from './address.ts'
import styles from './board.module.css'
import { boardHref } from './board-href.ts'

type Props = {
  visit: ShownVisit
  timeZone: string
  now: Temporal.Instant
  address: BoardAddress
  acts: readonly Act[]
  children: ReactNode
}

const ACT_WORDS: Record<Act, string> = {
  call: 'What to say on the phone',
  send: 'Send what is missing again',
  confirm: 'Mark as confirmed by phone',
  plan: 'Change the exam',
  'in-person': 'Move to in person',
}

export function OpenedVisit({ visit, timeZone, now, address, acts, children }: Props) {
  const asked = visit.items.filter(({ state }) => state !== 'not_needed')
  const notNeeded = visit.items.filter(({ state }) => state === 'not_needed')
  return (
    <>
      <nav className={styles.acts} aria-label={`What to do about ${visit.patientName}`}>
        {acts.map((act) => (
          <Link
            key={act}
            href={boardHref(address, { open: visit.visitId, act: address.act === act ? null : act, did: null })}
            prefetch={false}
            scroll={false}
            aria-expanded={address.act === act}
          >
            {ACT_WORDS[act]}
          </Link>
        ))}
      </nav>
      {children}
      <div className={styles.open}>
        <RuledTable caption="Readiness" head={['Item', 'State', 'Who acts', 'Since', 'Said by']}>
          {asked.map(({ item, state, actor, since, saidBy }) => (
            <tr key={item}>
              <th scope="row">{ITEM_WORDS[item]}</th>
              <td>
                <Mark state={state} />
              </td>
              <td>{actor === 'nobody' ? '' : actor}</td>
              <td>
                {since !== null && (
                  <>
                    <TimeText at={since} timeZone={timeZone} isZoneSaid /> (
                    {ageWords(Temporal.Instant.from(since), now)})
                  </>
                )}
              </td>
              <td>{saidBy ?? ''}</td>
            </tr>
          ))}
          {notNeeded.length > 0 && (
            <tr>
              <td colSpan={5}>
                <Mark state="not_needed">Not needed: {notNeeded.map(({ item }) => ITEM_WORDS[item]).join(', ')}</Mark>
              </td>
            </tr>
          )}
        </RuledTable>
        <div className={styles.beside}>
          <Whereabouts visit={visit} />
          {visit.closed.length > 0 && (
            <section aria-label="What can’t be done">
              <h4>What can’t be done, and what would open it</h4>
              <ul>
                {visit.closed.map(({ title, why }) => (
                  <li key={title}>
                    <strong>{title}</strong>: {why}
                  </li>
                ))}
                {visit.openers.map(({ say, opens }) => (
                  <li key={say}>
                    With {say}: {opens === 1 ? '1 more station' : `${opens} more stations`}
                  </li>
                ))}
              </ul>
            </section>
          )}
          <p className={styles.ways}>
            {visit.mode === 'video' && (
              <Link href={`/visits/${visit.visitId}/run`} prefetch={false}>
                Run the visit
              </Link>
            )}
            <Link href={`/visits/${visit.visitId}`} prefetch={false}>
              Open the visit
            </Link>
            <Link href={`/referrals/${visit.referralId}`} prefetch={false}>
              Open the referral
            </Link>
          </p>
        </div>
      </div>
    </>
  )
}

function Whereabouts({ visit }: { visit: ShownVisit }) {
  const missing = <Mark state="waiting">Not given yet</Mark>
  const phone = visit.callbackPhone ?? visit.patientPhone
  return (
    <KeyValueList
      items={[
        ...(visit.mode === 'in_person'
          ? [{ name: 'Site', value: `${visit.siteName}, ${visit.roomName}` }]
          : [
              {
                name: 'Patient will be at',
                value: visit.placeAddress === null ? missing : `${visit.placeAddress}, ${visit.placeState}`,
              },
            ]),
        { name: 'Call', value: phone === null ? missing : <PhoneNumber number={phone} /> },
        ...(visit.mode === 'in_person'
          ? []
          : [
              {
                name: 'Emergency contact',
                value:
                  visit.contactName === null ? (
                    missing
                  ) : (
                    <Contact name={visit.contactName} number={visit.contactPhone} />
                  ),
              },
            ]),
        ...(visit.helperName === null ? [] : [{ name: 'Helper', value: visit.helperName }]),
        ...(visit.interpreterLanguage === null
          ? []
          : [{ name: 'Needs an interpreter for', value: visit.interpreterLanguage }]),
      ]}
    />
  )
}
