/**
 * How something stands: a small drawn mark and, always, its word. The five marks differ in shape alone, so they hold in
 * print, in grey and for every eye; the same five stand in mail as text.
 */
import type { ReactNode } from 'react'
import type { ItemState } from '#lib/domain/readiness/items.ts'
import styles from './mark.module.css'

const WORDS: Record<ItemState, string> = {
  done: 'Done',
  waiting: 'Waiting',
  late: 'Late',
  not_needed: 'Not needed',
  cannot: 'Cannot',
}

/** Drawn in a square of 16, one stroke wide. */
const DRAWINGS: Record<ItemState, ReactNode> = {
  done: (
    <>
      <circle cx="8" cy="8" r="6" />
      <circle cx="8" cy="8" r="3" fill="currentColor" stroke="none" />
    </>
  ),
  waiting: <circle cx="8" cy="8" r="6" />,
  // The ring is open at the upper right and a hand points out of it: time ran out of this one.
  late: <path d="M8 2 A6 6 0 1 0 14 8 M8 8 L13.5 2.5" />,
  not_needed: <path d="M4 8 H12" />,
  cannot: <path d="M2 8 a6 6 0 1 0 12 0 a6 6 0 1 0 -12 0 M4 4 L12 12 M12 4 L4 12" />,
}

/** A mark with its word, or with words that say more ("Late since Friday"). */
export function Mark({ state, children }: { state: ItemState; children?: ReactNode }) {
  return (
    <span className={styles.mark} data-state={state}>
      <MarkDrawing state={state} />
      <span>{children ?? WORDS[state]}</span>
    </span>
  )
}

/** The drawing alone, where its word stands right beside it already. */
export function MarkDrawing({ state }: { state: ItemState }) {
  return (
    <svg
      className={styles.drawing}
      viewBox="0 0 16 16"
      fill="none"
      stroke="currentColor"
      strokeWidth="1.75"
      strokeLinecap="round"
      aria-hidden="true"
    >
      {DRAWINGS[state]}
    </svg>
  )
}
