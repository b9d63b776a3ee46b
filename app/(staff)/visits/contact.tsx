/** Whom to call for a patient, as they stand on file. */
import { PhoneNumber } from '#app/_ui/phone-link.tsx'

export function Contact({ name, number }: { name: string; number: string | null }) {
  return (
    <>
      {name}, {number === null ? 'no number' : <PhoneNumber number={number} />}
    </>
  )
}
