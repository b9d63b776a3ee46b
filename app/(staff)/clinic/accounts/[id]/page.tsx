/** One account, new or known: who it is for, what they may do, and whether it is open. */
import type { Metadata } from 'next'
import { notFound } from 'next/navigation'
import { type StaffCtx, staffContext } from '#app/_server/staff-page.ts'
import { Actions, Button } from '#app/_ui/button.tsx'
import { DoneNotice } from '#app/_ui/done-notice.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { Section, Split } from '#app/_ui/section.tsx'
import { SelectField } from '#app/_ui/select-field.tsx'
import { TextField } from '#app/_ui/text-field.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { invariant } from '#lib/base/invariant.ts'
import { ROLES } from '#lib/domain/access/actor.ts'
import { type AccountsView, readAccounts } from '#lib/usecases/read-accounts.ts'
import { ROLE_WORDS } from '#lib/words/role-words.ts'
import { PASSPHRASE_HINT } from '../../passphrase-words.ts'
import { keepAccount, standAccount } from './actions.ts'

export const metadata: Metadata = { title: 'Account' }

const DONE = {
  added: 'Added. They can sign in now.',
  saved: 'Saved.',
  close: 'Closed. They are signed out everywhere.',
  reopen: 'Open again.',
} as const

export default async function AccountPage({ params, searchParams }: PageProps<'/clinic/accounts/[id]'>) {
  const ctx = await staffContext('account.write')
  const { id } = await params
  const { done } = await searchParams
  const read = await readAccounts(ctx)
  invariant(read.ok, 'the page has asked for the same permission')
  const { accounts, clinicians } = read.value
  const account = accounts.find((one) => one.id === id)
  if (id !== 'new' && !account) notFound()
  return (
    <>
      <BackLink href="/clinic/accounts">Accounts</BackLink>
      <Opener kicker="Account">
        {account
          ? `${account.name} signs in as ${ROLE_WORDS[account.role].toLowerCase()}.`
          : 'Who is the new account for?'}
      </Opener>
      <DoneNotice words={DONE} done={done} />
      {account && !account.isActive && <Notice kind="caution" heading="Closed: nobody signs in with it" />}
      {account ? (
        <Split beside={<Standing ctx={ctx} account={account} />}>
          <Section heading="Who it is for">
            <AccountForm ctx={ctx} account={account} clinicians={clinicians} />
          </Section>
        </Split>
      ) : (
        <AccountForm ctx={ctx} account={null} clinicians={clinicians} />
      )}
    </>
  )
}

type Account = AccountsView['accounts'][number]
type FormProps = { ctx: StaffCtx; account: Account | null; clinicians: AccountsView['clinicians'] }

function AccountForm({ ctx, account, clinicians }: FormProps) {
  const choosable = clinicians.filter(({ id, isActive }) => isActive || id === account?.clinicianId)
  return (
    <FormShell action={keepAccount.bind(null, account?.id ?? null)} commandKey={ctx.newId('cmd')}>
      <TextField name="name" label="Name" value={account?.name} width={20} />
      <TextField
        name="email"
        label="E-mail"
        hint="What they type when they sign in."
        type="email"
        value={account?.email}
        width={20}
        spellCheck={false}
      />
      <SelectField
        name="role"
        label="Works as"
        none="Choose what they work as"
        value={account?.role}
        options={ROLES.map((role) => ({ value: role, label: ROLE_WORDS[role] }))}
      />
      <SelectField
        name="clinicianId"
        label="Which clinician they are"
        hint="Whose visits are their own list. Needed where they work as a clinician."
        none="None"
        value={account?.clinicianId ?? undefined}
        options={choosable.map(({ id, name }) => ({ value: id, label: name }))}
      />
      <TextField
        name="passphrase"
        label={account?.hasPassphrase ? 'New passphrase' : 'First passphrase'}
        hint={
          account?.hasPassphrase
            ? `${PASSPHRASE_HINT} Left empty, they keep the one they have; a new one signs them out everywhere.`
            : `${PASSPHRASE_HINT} Left empty, they can sign in through the organisation only.`
        }
        type="password"
        autoComplete="new-password"
        width={20}
      />
      <Actions>
        <Button>{account ? 'Save' : 'Add this account'}</Button>
      </Actions>
    </FormShell>
  )
}

function Standing({ ctx, account: { id, name, isActive } }: { ctx: StaffCtx; account: Account }) {
  return (
    <Section heading={isActive ? 'Leaving' : 'Coming back'}>
      <FormShell action={standAccount.bind(null, id, isActive ? 'close' : 'reopen')} commandKey={ctx.newId('cmd')}>
        <p>
          {isActive
            ? 'They are signed out everywhere and cannot sign in again. What they did stays on file under their name.'
            : 'They can sign in again, with the passphrase they had.'}
        </p>
        <Actions>
          <Button look={isActive ? 'grave' : 'plain'} id="stand">
            {isActive ? `Close the account of ${name}` : `Open the account of ${name} again`}
          </Button>
        </Actions>
      </FormShell>
    </Section>
  )
}
