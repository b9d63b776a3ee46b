/** Clinicians' calendars as this installation gives them out: how they are written, and where they are read. */
import { feedPort } from '#lib/adapters/calendar-feed.ts'
import { settings } from '#lib/adapters/settings.ts'
import type { FeedPort } from '#lib/domain/feed/clinician-feed.ts'

export function feedWriter(): FeedPort {
  return feedPort(settings())
}

/** The whole address of a path, as a calendar program needs it. */
export function wholeAddress(path: string): string {
  return new URL(path, settings().baseUrl).href
}
