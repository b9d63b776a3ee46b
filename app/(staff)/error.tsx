'use client'

import { Button } from '#app/_ui/button.tsx'
import { PlainPage } from '#app/_ui/plain-page.tsx'

export default function StaffError({ retry }: { retry: () => void }) {
  return (
    <PlainPage heading="Something broke on our side">
      <title>Error: Something broke – Farstep</title>
      <p>
        What you just did may not be saved: either all of it is, or nothing. Look at the page again before you repeat
        it. If it keeps happening, tell the person who looks after this installation what you were doing and when.
      </p>
      <Button type="button" onClick={retry}>
        Show the page again
      </Button>
    </PlainPage>
  )
}
