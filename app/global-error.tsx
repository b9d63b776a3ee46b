'use client'

import './globals.css'
import { PlainSheet } from '#app/_ui/plain-page.tsx'
import common from '#lib/words/en/common.json' with { type: 'json' }

/** Not even the document could be drawn. */
export default function GlobalError() {
  return (
    <html lang="en">
      <body>
        <title>{common.broken.title}</title>
        <PlainSheet heading={common.broken.title}>
          <p>{common.broken.what}</p>
          <p>{common.callLetter}</p>
        </PlainSheet>
      </body>
    </html>
  )
}
