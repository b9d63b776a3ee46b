/** Nothing here yet: what will appear, and how to make it appear. */
import type { ReactNode } from 'react'
import styles from './empty-state.module.css'

export function EmptyState({ children, action }: { children: ReactNode; action?: ReactNode }) {
  return (
    <div className={styles.empty}>
      <p>{children}</p>
      {action}
    </div>
  )
}
