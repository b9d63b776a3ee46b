import { PlainPage } from '#app/_ui/plain-page.tsx'

/** Missing and another clinic's look the same. */
export default function NotFound() {
  return (
    <PlainPage heading="Nothing is kept under this address">
      <p>It may have been closed, joined with another, or typed wrongly. The desk lists everything that is open.</p>
    </PlainPage>
  )
}
