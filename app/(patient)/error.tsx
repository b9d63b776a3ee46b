'use client'

import { Button } from '#app/_ui/button.tsx'
import { PlainPage } from '#app/_ui/plain-page.tsx'
import { wordsHere } from '#app/_ui/words-here.ts'

/** In the language of the document. The clinic's number stands at the foot, which the layout keeps. */
export default function PatientError({ retry }: { retry: () => void }) {
  const { title, what, how, again } = wordsHere().broken
  return (
    <PlainPage heading={title}>
      <title>{title}</title>
      <p>{what}</p>
      <p>{how}</p>
      <Button type="button" onClick={retry}>
        {again}
      </Button>
    </PlainPage>
  )
}
