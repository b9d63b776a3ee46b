'use client'

/**
 * What had the focus is gone: the link that led to another page, or the form that was answered, because what an action
 * leads to is made anew even where it is the same page. The focus goes on to the part that the address names, or to what
 * was just done, or else to the sentence at the top, so that the keyboard goes on from there.
 */
import { useEffect } from 'react'

export function Arrival() {
  useEffect(() => {
    let held: Element | null = document.activeElement
    const hold = ({ target }: FocusEvent) => {
      held = target instanceof Element ? target : null
    }
    // Left by hand, as by a click on the paper beside it: whatever becomes of it later, nothing is lost.
    const letGo = () => {
      if (held?.isConnected && document.activeElement === document.body) held = null
    }
    const isLost = () => held !== null && !held.isConnected && document.activeElement === document.body
    const goOn = () => {
      if (!isLost()) return
      const part = document.getElementById(decodeURIComponent(location.hash.slice(1)))
      const target = part ?? document.getElementById('done') ?? document.querySelector<HTMLElement>('main h1')
      if (target === null) return
      target.tabIndex = -1
      target.focus()
    }
    // What came may take the focus by itself, as a summary of faults does: it comes first.
    const pages = new MutationObserver(() => isLost() && setTimeout(goOn))
    pages.observe(document.body, { childList: true, subtree: true })
    const leave = () => setTimeout(letGo)
    document.addEventListener('focusin', hold)
    document.addEventListener('focusout', leave)
    return () => {
      pages.disconnect()
      document.removeEventListener('focusin', hold)
      document.removeEventListener('focusout', leave)
    }
  }, [])
  return null
}
