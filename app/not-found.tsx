import Link from 'next/link'
import { PlainSheet } from '#app/_ui/plain-page.tsx'

export default function NotFound() {
  return (
    <PlainSheet heading="There is no page at this address">
      <p>If you typed it, look for a mistake in it. If a link led you here, it may be old.</p>
      <p>
        Patients: open the link in the mail from your clinic again, or call the number in it. Staff:{' '}
        <Link href="/">go to your first page</Link>.
      </p>
    </PlainSheet>
  )
}
