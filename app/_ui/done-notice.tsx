/** What was just done, in words, on the page that an action leads back to. The keyboard goes on from here (`Arrival`). */
import type { ReactNode } from 'react'
import styles from './notice.module.css'
import { Notice, type NoticeKind } from './notice.tsx'

type Props = {
  words: Readonly<Record<string, string>>
  /** As it stands in the address, which may be typed: anything that isn't one of ours counts as not given. */
  done: string | string[] | undefined
  kind?: NoticeKind
  children?: ReactNode
}

/** A page holds one, near its top: its id is what the focus is led to. */
export function DoneNotice({ words, done, kind = 'note', children }: Props) {
  if (typeof done !== 'string' || !Object.hasOwn(words, done)) return null
  return (
    <div id="done" role="status" className={styles.done}>
      <Notice kind={kind} heading={words[done] ?? ''}>
        {children}
      </Notice>
    </div>
  )
}
