'use client'

/**
 * Says that the page is about to close, while there is time to keep it open (WCAG 2.2 SC 2.2.1). Without a script the foot
 * of the page says how long it stays open; what was saved is there again by the same link.
 */
import { usePathname, useRouter } from 'next/navigation'
import { useEffect, useState } from 'react'
import { Button } from '#app/_ui/button.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import styles from '#app/_ui/patient-frame.module.css'

type Props = { afterMin: number; words: { heading: string; body: string; stay: string } }

export function StayOpen({ afterMin, words }: Props) {
  const router = useRouter()
  const path = usePathname()
  const [isWarned, setIsWarned] = useState(false)
  const [kept, setKept] = useState(0)

  // biome-ignore lint/correctness/useExhaustiveDependencies: another page, or asking for this one again, begins the time anew
  useEffect(() => {
    setIsWarned(false)
    const timer = setTimeout(() => setIsWarned(true), afterMin * 60_000)
    return () => clearTimeout(timer)
  }, [afterMin, path, kept])

  /** Asks the server for the page again, which counts as use; what is typed in it stays. */
  function stay() {
    router.refresh()
    setKept(kept + 1)
  }

  return (
    <div role="alert" className={isWarned ? styles.warning : undefined}>
      {isWarned && (
        <Notice kind="caution" heading={words.heading}>
          <p>{words.body}</p>
          <Button type="button" onClick={stay}>
            {words.stay}
          </Button>
        </Notice>
      )}
    </div>
  )
}
