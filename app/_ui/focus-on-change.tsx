'use client'

/** Leads the keyboard on when what it stood on went with the answer: to the part that came instead. */
import { useEffect, useRef } from 'react'

/** `of`: how the page stands. When it changes and nothing has the focus any more, the element `target` takes it. */
export function FocusOnChange({ of, target }: { of: string; target: string }) {
  const before = useRef(of)
  useEffect(() => {
    if (before.current === of) return
    before.current = of
    focusIfLost(document.getElementById(target))
  }, [of, target])
  return null
}

/** Gives an element the focus that nothing else has. */
export function focusIfLost(element: HTMLElement | null): void {
  if (element === null || document.activeElement !== document.body) return
  element.tabIndex = -1
  element.focus()
}
