'use client'

import { PlainSheet } from '#app/_ui/plain-page.tsx'
import common from '#lib/words/en/common.json' with { type: 'json' }

/** The frame itself could not be drawn, so nobody knows whose page this is. */
export default function AppError() {
  return (
    <PlainSheet heading={common.broken.title}>
      <title>{common.broken.title}</title>
      <p>{common.broken.what}</p>
      <p>{common.callLetter}</p>
    </PlainSheet>
  )
}
