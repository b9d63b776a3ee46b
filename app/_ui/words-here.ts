'use client'

/** The words that every page may need and only a script says, in the language of the document. */
import en from '#lib/words/en/common.json' with { type: 'json' }
import es from '#lib/words/es/common.json' with { type: 'json' }

export function wordsHere(): typeof en {
  return typeof document !== 'undefined' && document.documentElement.lang === 'es' ? es : en
}
