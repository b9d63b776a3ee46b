'use client'

/**
 * Keeps an open board as it is: a stream says that something changed, and the page reads itself again on the server, where
 * it is asked who is there. The browser comes back to a broken stream by itself and is told if it missed something. Every
 * minute the page reads itself anyway, because what is waiting becomes late with time alone. Without any of this, reloading
 * shows the same.
 */
import { useRouter } from 'next/navigation'
import { useEffect, useRef, useState, useTransition } from 'react'
import { LOOKS_BY_ITSELF } from '#app/_ui/looks-by-itself.ts'
import styles from './board.module.css'

const MINUTE_MS = 60_000
/** For as long a row that changed is marked. */
const MARKED_MS = 60_000

type Props = {
  /** yyyy-mm-dd */
  day: string
  /** Before the server read the page, by its own clock. */
  readAtMs: number
  /** As the page says the time it was read. */
  readAt: string
}

export function BoardLive({ day, readAtMs, readAt }: Props) {
  const router = useRouter()
  const [isReading, startReading] = useTransition()
  const [isLive, setIsLive] = useState<boolean | null>(null)
  const [isWanted, setIsWanted] = useState(false)
  const [changed, setChanged] = useState('')
  const since = useRef(readAtMs)
  since.current = readAtMs

  useEffect(() => {
    let stream: EventSource | undefined
    const open = () => {
      if (document.visibilityState === 'hidden' || stream) return
      stream = new EventSource(`/api/board-changes?day=${day}&since=${since.current}`)
      stream.addEventListener('open', () => setIsLive(true))
      stream.addEventListener('error', () => setIsLive(false))
      stream.addEventListener('changed', () => setIsWanted(true))
    }
    const close = () => {
      stream?.close()
      stream = undefined
    }
    // A browser has few lines to one server, and nobody looks at a hidden board.
    const see = () => {
      if (document.visibilityState === 'hidden') close()
      else {
        open()
        setIsWanted(true)
      }
    }
    open()
    document.addEventListener('visibilitychange', see)
    const everyMinute = window.setInterval(() => {
      if (document.visibilityState === 'hidden') return
      // Refused for good, as when signed out: the reading finds out, and the next stream begins afresh.
      if (stream?.readyState === EventSource.CLOSED) close()
      open()
      setIsWanted(true)
    }, MINUTE_MS)
    return () => {
      document.removeEventListener('visibilitychange', see)
      window.clearInterval(everyMinute)
      close()
    }
  }, [day])

  // One reading at a time; what changes meanwhile is read by the next.
  useEffect(() => {
    if (!isWanted || isReading) return
    setIsWanted(false)
    // biome-ignore lint/suspicious/noDocumentCookie: read by the very next request, and gone after it
    document.cookie = `${LOOKS_BY_ITSELF}=1; path=/board; max-age=5; samesite=strict`
    startReading(() => router.refresh())
  }, [isWanted, isReading, router])
  useEffect(() => {
    if (isReading) return
    // biome-ignore lint/suspicious/noDocumentCookie: what a person does next counts again
    document.cookie = `${LOOKS_BY_ITSELF}=; path=/board; max-age=0; samesite=strict`
  }, [isReading])

  const seen = useRef<Map<string, string> | null>(null)
  const shownDay = useRef(day)
  // After each reading: `readAtMs` is another one.
  useEffect(() => {
    const rows = [...document.querySelectorAll<HTMLElement>('[data-visit]')]
    const stamps = new Map(rows.map((row) => [row.dataset.visit ?? '', row.dataset.stamp ?? '']))
    const before = shownDay.current === day ? seen.current : null
    shownDay.current = day
    // Rows that another filter brings in have not changed.
    const news = rows.filter(({ dataset: { visit = '', stamp } }) => before?.has(visit) && before.get(visit) !== stamp)
    seen.current = new Map([...(before ?? []), ...stamps])
    for (const row of news) {
      row.removeAttribute('data-changed')
      // Asked for its size, the browser begins the fading anew.
      void row.offsetWidth
      row.setAttribute('data-changed', String(readAtMs))
      window.setTimeout(() => {
        if (row.getAttribute('data-changed') === String(readAtMs)) row.removeAttribute('data-changed')
      }, MARKED_MS)
    }
    const names = news.map((row) => row.querySelector('[data-row]')?.textContent ?? '')
    if (names.length > 0) setChanged(`Changed: ${names.join(', ')}`)
  }, [readAtMs, day])

  return (
    <p className={styles.live}>
      <span data-live={isLive === null ? 'opening' : isLive ? 'yes' : 'no'}>
        {isLive === null && `As of ${readAt}. Reload the page to see what changed since.`}
        {isLive === true && `As of ${readAt}, kept up to date.`}
        {isLive === false && `As of ${readAt}. The line is broken: it is tried again, and reloading works.`}
      </span>
      <span role="status" className={styles.heard}>
        {changed}
      </span>
    </p>
  )
}
