'use client'

/**
 * A few keys beside the links and buttons that are there anyway. Letters work only outside of fields and can be turned off
 * (WCAG 2.2 SC 2.1.4); arrows only while a visit's name has the focus, where they would do nothing but scroll. Nothing is
 * caught: Tab, Enter and everything else stay the browser's.
 */
import { useRouter } from 'next/navigation'
import { useEffect, useState } from 'react'
import styles from './board.module.css'

const KEPT_AS = 'farstep.board.letter-keys'

const KEYS = [
  ['J', 'or ↓ on a name: next visit'],
  ['K', 'or ↑ on a name: visit before'],
  ['O', 'or Enter on a name: open or close the visit'],
  ['C', 'call: what to say'],
  ['S', 'send what is missing again'],
  ['M', 'mark as confirmed by phone'],
  ['P', 'change the exam'],
  ['I', 'move to in person'],
] as const

const ACT_OF: Record<string, string> = { c: 'call', s: 'send', m: 'confirm', p: 'plan', i: 'in-person' }

export function BoardKeys() {
  const router = useRouter()
  const [hasLetters, setHasLetters] = useState(true)
  useEffect(() => setHasLetters(window.localStorage.getItem(KEPT_AS) !== 'off'), [])

  useEffect(() => {
    const press = (event: KeyboardEvent) => {
      if (event.defaultPrevented || event.ctrlKey || event.metaKey || event.altKey) return
      const target = event.target instanceof HTMLElement ? event.target : null
      if (target?.closest('input, select, textarea, [contenteditable], dialog')) return
      const isOnName = target?.matches('[data-row]') ?? false
      const key = event.key.toLowerCase()
      const step =
        key === 'j' || (isOnName && key === 'arrowdown') ? 1 : key === 'k' || (isOnName && key === 'arrowup') ? -1 : 0
      if (key.length === 1 && !hasLetters) return
      if (step !== 0) {
        if (go(step)) event.preventDefault()
        return
      }
      const row = current()
      if (key === 'o') row?.querySelector<HTMLElement>('[data-row]')?.click()
      const act = ACT_OF[key]
      if (act && row) router.push(`${row.dataset.openHref}&act=${act}`, { scroll: false })
    }
    document.addEventListener('keydown', press)
    return () => document.removeEventListener('keydown', press)
  }, [hasLetters, router])

  return (
    <details className={styles.keys}>
      <summary>Keys</summary>
      <dl>
        {KEYS.map(([key, does]) => (
          <div key={key}>
            <dt>
              <kbd>{key}</kbd>
            </dt>
            <dd>{does}</dd>
          </div>
        ))}
      </dl>
      <label>
        <input
          type="checkbox"
          checked={hasLetters}
          onChange={({ target: { checked } }) => {
            window.localStorage.setItem(KEPT_AS, checked ? 'on' : 'off')
            setHasLetters(checked)
          }}
        />{' '}
        Use letter keys on this page
      </label>
    </details>
  )
}

/** The visit in which the focus is; else the open one, else the first. */
function current(): HTMLElement | null {
  return (
    document.activeElement?.closest<HTMLElement>('[data-visit]') ??
    document.querySelector<HTMLElement>('[data-visit]:has([aria-expanded="true"])') ??
    document.querySelector<HTMLElement>('[data-visit]')
  )
}

/** Moves the focus between the names of visits; at either end it stays. */
function go(step: 1 | -1): boolean {
  const names = [...document.querySelectorAll<HTMLElement>('[data-row]')]
  const here = document.activeElement?.closest('[data-visit]')?.querySelector<HTMLElement>('[data-row]')
  const next = here ? names[names.indexOf(here) + step] : names[0]
  next?.focus()
  return next !== undefined
}
