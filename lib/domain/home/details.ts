/**
 * The part of the home check that no exam rule reads, but without which a video
 * visit must not start: where the patient will be (licence, help in an emergency),
 * whom to call, when people are free, and their agreement.
 */
import { z } from 'zod'
import { isShowable } from '#lib/base/plain-text.ts'
import type { WeeklyWindow } from '../calendar/weekly-window.ts'
import { findState } from '../intake/us-states.ts'

/** Steps after the exam's own questions, in order. */
export const DETAIL_STEPS = ['place', 'contact', 'times', 'consent'] as const
export type DetailStep = (typeof DETAIL_STEPS)[number]

/** Parts of a day a person can be free in: wall times in their own zone. Common practice. */
export const DAY_PARTS = {
  morning: ['07:00', '12:00'],
  afternoon: ['12:00', '17:00'],
  evening: ['17:00', '21:00'],
} as const
export type DayPart = keyof typeof DAY_PARTS
export const DAY_PART_IDS = ['morning', 'afternoon', 'evening'] as const satisfies readonly DayPart[]

/** Zones of the fifty states and DC, by the names people use. IANA names; the mainland four cover nearly everyone. */
export const US_TIME_ZONES = [
  'America/New_York',
  'America/Chicago',
  'America/Denver',
  'America/Phoenix',
  'America/Los_Angeles',
  'America/Anchorage',
  'Pacific/Honolulu',
] as const

const weekday = z.coerce.number().int().min(1).max(7)
const text = z.string().refine(isShowable).trim()
/** As people write it, with an extension or not; but there is something to dial. */
const phone = text
  .min(7)
  .max(30)
  .regex(/(\d\D*){7}/)

export const placeSchema = z.object({
  placeAddress: text.min(5).max(200),
  placeState: text.toUpperCase().refine((code) => findState(code) !== null),
  timeZone: z.enum(US_TIME_ZONES),
})
export const contactSchema = z.object({
  callbackPhone: phone,
  contactName: text.min(1).max(100),
  contactPhone: phone,
})
export const timesSchema = z.object({
  days: z.array(weekday).max(7),
  parts: z.array(z.enum(DAY_PART_IDS)).max(3),
  helperName: text.max(100),
  helperDays: z.array(weekday).max(7),
  helperParts: z.array(z.enum(DAY_PART_IDS)).max(3),
})
export const consentSchema = z.object({ agreed: z.literal('yes') })

/** Days times parts of the day. Nothing chosen = any time: then nothing is ruled out. */
export function windowsFrom(days: readonly number[], parts: readonly DayPart[]): WeeklyWindow[] {
  if (days.length === 0 && parts.length === 0) return []
  const onDays = days.length > 0 ? days : [1, 2, 3, 4, 5, 6, 7]
  const atParts = parts.length > 0 ? parts : DAY_PART_IDS
  return onDays.flatMap((day) =>
    atParts.map((part) => ({ weekday: day, from: DAY_PARTS[part][0], to: DAY_PARTS[part][1] })),
  )
}

/** The other way round, to show what was chosen. */
export function choicesIn(windows: readonly WeeklyWindow[]): { days: number[]; parts: DayPart[] } {
  const days = [...new Set(windows.map((window) => window.weekday))].sort((a, b) => a - b)
  const parts = DAY_PART_IDS.filter((part) => windows.some((window) => window.from === DAY_PARTS[part][0]))
  return { days, parts }
}

export type DetailsKnown = {
  placeAddress: string | null
  placeState: string | null
  timeZone: string | null
  callbackPhone: string | null
  contactName: string | null
  contactPhone: string | null
  /** True once the times page was answered, even with "any time". */
  timesAnswered: boolean
  consented: boolean
}

/** The first of the four that is still open, or null. */
export function nextDetail(known: DetailsKnown): DetailStep | null {
  if (known.placeAddress === null || known.placeState === null || known.timeZone === null) return 'place'
  if (known.callbackPhone === null || known.contactName === null || known.contactPhone === null) return 'contact'
  if (!known.timesAnswered) return 'times'
  if (!known.consented) return 'consent'
  return null
}
