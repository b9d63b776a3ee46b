/** Who can sign in, and as what. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { signedInStaff, staffContext } from '#app/_server/staff-page.ts'
import { ButtonLink } from '#app/_ui/button.tsx'
import { Mark } from '#app/_ui/mark.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { RuledItem, RuledList } from '#app/_ui/ruled.tsx'
import { Section } from '#app/_ui/section.tsx'
import { TimeText } from '#app/_ui/time-text.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { invariant } from '#lib/base/invariant.ts'
import { type AccountsView, readAccounts } from '#lib/usecases/read-accounts.ts'
import { ROLE_WORDS } from '#lib/words/role-words.ts'
import { count } from '../../referrals/words.ts'
import styles from '../clinic.module.css'

export const metadata: Metadata = { title: 'Accounts' }

export default async function AccountsPage() {
  const ctx = await staffContext('account.write')
  const read = await readAccounts(ctx)
  invariant(read.ok, 'the page has asked for the same permission')
  const { clinic } = await signedInStaff()
  const open = read.value.accounts.filter(({ isActive }) => isActive)
  const closed = read.value.accounts.filter(({ isActive }) => !isActive)
  return (
    <>
      <BackLink href="/clinic">Clinic</BackLink>
      <Opener kicker="Accounts">{open.length === 1 ? 'One person' : `${open.length} people`} can sign in.</Opener>
      <Section heading="Open" aside={<ButtonLink href="/clinic/accounts/new">Add an account</ButtonLink>}>
        <Accounts label="Open accounts" accounts={open} timeZone={clinic.timeZone} />
      </Section>
      {closed.length > 0 && (
        <Section heading={`Closed: ${count(closed.length, 'account')}`}>
          <Accounts label="Closed accounts" accounts={closed} timeZone={clinic.timeZone} />
        </Section>
      )}
    </>
  )
}

type Props = { label: string; accounts: AccountsView['accounts']; timeZone: string }

function Accounts({ label, accounts, timeZone }: Props) {
  return (
    <RuledList label={label}>
      {accounts.map((account) => (
        <RuledItem
          key={account.id}
          end={
            <span className={styles.soft}>
              {account.lastSeenAt === null ? (
                'Never signed in'
              ) : (
                <>
                  Last here <TimeText at={account.lastSeenAt} timeZone={timeZone} isZoneSaid />
                </>
              )}
            </span>
          }
        >
          <p>
            <Link href={`/clinic/accounts/${account.id}`} className={styles.name}>
              {account.name}
            </Link>
            , {ROLE_WORDS[account.role].toLowerCase()}
            {account.clinicianName !== null && account.clinicianName !== account.name && ` (${account.clinicianName})`}
          </p>
          <p className={styles.soft}>{account.email}</p>
          {account.role === 'clinician' && account.clinicianName === null && (
            <p>
              <Mark state="cannot">Stands for no clinician: sees no list of their own</Mark>
            </p>
          )}
          {!account.hasPassphrase && <p className={styles.soft}>Signs in through the organisation only</p>}
        </RuledItem>
      ))}
    </RuledList>
  )
}
