/**
 * How our mails look: paper, ink and one accent, as in the app. Mail readers know no custom properties and fetch no
 * fonts, so the values stand here once more, and the reader's own typeface is used. Readers that turn mails dark by
 * themselves find plain text on a plain ground; the others are told both schemes work and get ours.
 */
import type { CSSProperties } from 'react'

const ink = '#0f2a2c'
const accent = '#1c3f9c'
const paper = '#f8f4ea'
const rule = '#cdd1c5'

export const FONT = '-apple-system, "Segoe UI", Roboto, "Helvetica Neue", Arial, sans-serif'

export const body: CSSProperties = { margin: 0, backgroundColor: paper, color: ink, fontFamily: FONT }
export const column: CSSProperties = { maxWidth: '34em', margin: '0 auto', padding: '24px 16px' }
export const text: CSSProperties = { fontSize: '18px', lineHeight: '1.5', margin: '0 0 16px' }
export const small: CSSProperties = { ...text, fontSize: '16px' }
export const heading: CSSProperties = { fontSize: '26px', lineHeight: '1.25', margin: '0 0 16px', fontWeight: 700 }
export const subheading: CSSProperties = { fontSize: '20px', lineHeight: '1.3', margin: '24px 0 8px', fontWeight: 700 }
export const minor: CSSProperties = { fontSize: '18px', lineHeight: '1.3', margin: '16px 0 4px', fontWeight: 700 }
export const list: CSSProperties = { ...text, paddingLeft: '1.2em' }
export const marked: CSSProperties = { borderLeft: `4px solid ${accent}`, paddingLeft: '12px', margin: '0 0 16px' }
export const line: CSSProperties = { border: 'none', borderTop: `1px solid ${rule}`, margin: '24px 0' }
/** At least 44 px high: a sore thumb on a phone. */
export const button: CSSProperties = {
  display: 'inline-block',
  backgroundColor: accent,
  color: '#fffdf7',
  fontSize: '18px',
  fontWeight: 700,
  textDecoration: 'none',
  padding: '13px 20px',
  borderRadius: '4px',
}
export const link: CSSProperties = { color: accent, wordBreak: 'break-all' }

/**
 * For readers that honour it; the classes are set beside the inline styles above. The body's ground is repeated on the
 * cell that the library wraps the letter in, so both are turned.
 */
export const darkScheme = `
:root { color-scheme: light dark; supported-color-schemes: light dark; }
@media (prefers-color-scheme: dark) {
  .paper, .paper td { background-color: #0e1a1c !important; color: #f1ead9 !important; }
  .accent { color: #a8c3ff !important; }
  .act { background-color: #a8c3ff !important; color: #0e1a1c !important; }
}`
