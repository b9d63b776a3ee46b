'use client'

import { Button } from '#app/_ui/button.tsx'
import { PlainPage } from '#app/_ui/plain-page.tsx'
import en from '#lib/words/en/common.json' with { type: 'json' }
import es from '#lib/words/es/common.json' with { type: 'json' }

/** In the language of the document. The clinic's number stands at the foot, which the layout keeps. */
export default function PatientError({ retry }: { retry: () => void }) {
  const isSpanish = typeof document !== 'undefined' && document.documentElement.lang === 'es'
  const { title, what, how, again } = (isSpanish ? es : en).broken
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
