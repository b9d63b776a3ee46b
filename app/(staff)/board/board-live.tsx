'use client'

/**
 * Keeps an open board as it is: a stream says that something changed, and the board is read again on the server, where it is
 * asked who is there. The browser comes back to a broken stream by itself and is told if it missed something. Every minute
 * it is read anyway, because what is waiting becomes late with time alone. Without any of this, reloading shows the same.
 */
import { useRouter } from 'next/navigation'
import { useEffect, useRef, useState, useTransition } from 'react'
import { LOOKS_BY_ITSELF } from '#app/_ui/looks-by-itself.ts'
import styles from './board.module.css'

const MINUTE_MS = 60_000
const TRIED_AGAIN_MS = 2000
/** For as long a row that changed is marked. */
const MARKED_MS = 60_000

/** `words`: `BoardWords` as JSON. `askedAtMs`: before the server read them, by its own clock. */
export type Reading = { words: string; askedAtMs: number }
/** The board's own address without an open visit, and the build of the app that drew it. */
export type ReadFrom = { address: string; build: string }

type Props = {
  /** yyyy-mm-dd */
  day: string
  /** Of what is shown. */
  askedAtMs: number
  /** As the page says the time it was read. */
  readAt: string
  /** Null where the page has to read itself as a whole. */
  from: ReadFrom | null
  onRead: (fresh: Reading) => void
}

export function BoardLive({ day, askedAtMs, readAt, from, onRead }: Props) {
  const router = useRouter()
  const [isReading, startReading] = useTransition()
  const [isLive, setIsLive] = useState<boolean | null>(null)
  const [isWanted, setIsWanted] = useState(false)
  const [changed, setChanged] = useState('')
  const [isFetching, setIsFetching] = useState(false)
  const [hasFailed, setHasFailed] = useState(false)
  const since = useRef(askedAtMs)
  since.current = askedAtMs

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
    if (!isWanted || isReading || isFetching) return
    setIsWanted(false)
    const readPage = () => {
      // biome-ignore lint/suspicious/noDocumentCookie: read by the very next request, and gone after it
      document.cookie = `${LOOKS_BY_ITSELF}=1; path=/board; max-age=5; samesite=strict`
      startReading(() => router.refresh())
    }
    if (!from) {
      readPage()
      return
    }
    setIsFetching(true)
    readWords(from)
      .then(
        (fresh) => {
          setHasFailed(false)
          if (fresh) startReading(() => onRead(fresh))
          else readPage()
        },
        () => {
          setHasFailed(true)
          window.setTimeout(() => setIsWanted(true), TRIED_AGAIN_MS)
        },
      )
      .finally(() => setIsFetching(false))
  }, [isWanted, isReading, isFetching, from, onRead, router])
  useEffect(() => {
    if (isReading) return
    // biome-ignore lint/suspicious/noDocumentCookie: what a person does next counts again
    document.cookie = `${LOOKS_BY_ITSELF}=; path=/board; max-age=0; samesite=strict`
  }, [isReading])

  const seen = useRef<Map<string, string> | null>(null)
  const shownDay = useRef(day)
  // After each reading: `askedAtMs` is another one.
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
      row.setAttribute('data-changed', String(askedAtMs))
      window.setTimeout(() => {
        if (row.getAttribute('data-changed') === String(askedAtMs)) row.removeAttribute('data-changed')
      }, MARKED_MS)
    }
    const names = news.map((row) => row.querySelector('[data-row]')?.textContent ?? '')
    if (names.length > 0) setChanged(`Changed: ${names.join(', ')}`)
  }, [askedAtMs, day])

  const live = isLive === null ? 'opening' : isLive && !hasFailed ? 'yes' : 'no'
  return (
    <p className={styles.live}>
      <span data-live={live}>
        {live === 'opening' && `As of ${readAt}. Reload the page to see what changed since.`}
        {live === 'yes' && `As of ${readAt}, kept up to date.`}
        {live === 'no' && `As of ${readAt}. The line is broken: it is tried again, and reloading works.`}
      </span>
      <span role="status" className={styles.heard}>
        {changed}
      </span>
    </p>
  )
}

/** The words as they are now; null where only the page can tell: signed out, not allowed any more, or another build. */
async function readWords({ address, build }: ReadFrom): Promise<Reading | null> {
  const answer = await fetch(`/api${address}`, { headers: { 'farstep-build': build } })
  return answer.status === 200
    ? { words: await answer.text(), askedAtMs: Number(answer.headers.get('farstep-asked-at')) }
    : null
}
