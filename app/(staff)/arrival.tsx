'use client'

/**
 * Another page has come without the browser loading it, and the link that led here is gone: its focus goes to the part that
 * the address names, or else to the sentence at the top, so that the keyboard goes on from there.
 */
import { usePathname } from 'next/navigation'
import { useEffect, useRef } from 'react'
import { focusIfLost } from '#app/_ui/focus-on-change.tsx'

export function Arrival() {
  const path = usePathname()
  const before = useRef(path)
  useEffect(() => {
    if (before.current === path) return
    before.current = path
    const part = document.getElementById(decodeURIComponent(location.hash.slice(1)))
    focusIfLost(part ?? document.querySelector<HTMLElement>('main h1'))
  }, [path])
  return null
}
