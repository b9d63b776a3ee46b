/** The document around every page. Its language is the reader's: a patient's own or their link's, else English. */
import '@fontsource-variable/atkinson-hyperlegible-next/wght.css'
import './globals.css'
import type { Metadata, Viewport } from 'next'
import type { ReactNode } from 'react'
import { languageOfVisitor } from '#app/_server/patient-page.ts'

export const metadata: Metadata = {
  // No default: a page whose form renders the title (`FormShell`) must not have a second one.
  title: { default: '', template: '%s – Farstep' },
  robots: { index: false, follow: false },
  // A phone must not make a call of a figure that is no phone number.
  formatDetection: { telephone: false, date: false, address: false, email: false },
}

export const viewport: Viewport = {
  width: 'device-width',
  initialScale: 1,
  colorScheme: 'light dark',
}

export default async function RootLayout({ children }: { children: ReactNode }) {
  return (
    <html lang={await languageOfVisitor()}>
      <body>{children}</body>
    </html>
  )
}
