'use client'

import { Button } from '#app/_ui/button.tsx'
import { PlainPage } from '#app/_ui/plain-page.tsx'
import common from '#lib/words/en/common.json' with { type: 'json' }

/** The clinic's number stands at the foot, which the layout keeps. */
export default function PatientError({ retry }: { retry: () => void }) {
  const { title, what, how, again } = common.broken
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
