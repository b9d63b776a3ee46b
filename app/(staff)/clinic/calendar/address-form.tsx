'use client'

/** Makes a calendar's address and shows it, this once. Works without JavaScript: the server answers with the same page. */
import { useActionState } from 'react'
import { Actions, Button } from '#app/_ui/button.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { type AddressState, NO_ADDRESS } from './address-state.ts'
import styles from './calendar.module.css'

type Props = {
  /** Bound by the page. */
  action: (previous: AddressState, form: FormData) => Promise<AddressState>
  commandKey: string
  clinicianId: string
  clinicianName: string
  hasAddress: boolean
}

export function AddressForm({ action, commandKey, clinicianId, clinicianName, hasAddress }: Props) {
  const [{ address, problem }, submit] = useActionState(action, NO_ADDRESS)
  const id = `address-${clinicianId}`
  return (
    <form action={submit} className={styles.stack}>
      <input type="hidden" name="commandKey" value={commandKey} />
      <div role="status" className={styles.said}>
        {problem !== null && <Notice kind="caution" heading={problem} level={3} />}
        {address !== null && (
          <Notice kind="note" heading={`The address of ${clinicianName}’s calendar`} level={3}>
            <p>
              <label htmlFor={id}>Copy it now: it is not shown again.</label>
            </p>
            <p>
              <input id={id} className={styles.address} type="text" readOnly value={address} />
            </p>
            <p>
              In the calendar program, choose to add or subscribe to a calendar by its address and paste it there.
              Whoever has the address can read the calendar, so give it to nobody else.
            </p>
          </Notice>
        )}
      </div>
      <Actions>
        <Button look="plain">{hasAddress ? 'Make a new address' : 'Make an address'}</Button>
      </Actions>
    </form>
  )
}
