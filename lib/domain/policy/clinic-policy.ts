/**
 * The clinic's own settings. Data, not code: the licensed lead can change each,
 * and each says where its default comes from. Local rules come first.
 */
import { z } from 'zod'
import { seeBySchema } from '../protocol/schema.ts'

const source = z.string().min(3)
const wallTime = z.string().regex(/^([01]\d|2[0-3]):[0-5]\d$/)

/** Whether staff may give time kept for urgent visits to another, with their reason on file. */
const URGENT_STARTS = ['kept', 'released_with_reason'] as const

const LEARNING_SOURCE =
  'small below 30: NCHS Data Presentation Standards for Proportions, Vital Health Stat 2(175), 2017; the others clinic policy'

const policySchema = z.strictObject({
  schemaVersion: z.literal(1),
  /** Begin of the clinic's day in its own zone, HH:MM: from here to `closesAt` its working hours are counted. */
  opensAt: wallTime.default('08:00'),
  /** End of the clinic's day in its own zone, HH:MM: where a limit in days or working days ends. */
  closesAt: wallTime,
  /** When a referral must have been seen, by the priority it came with. */
  seeBy: z.strictObject({ routine: seeBySchema, urgent: seeBySchema, asap: seeBySchema, stat: seeBySchema, source }),
  visit: z.strictObject({
    historyMin: z.number().int().min(0).max(60),
    talkMin: z.number().int().min(0).max(60),
    grainMin: z.number().int().min(5).max(60),
    inPersonMin: z.number().int().min(10).max(120),
    /** Where patients go for the video call; null = the clinic calls them. */
    joinAddress: z.url({ protocol: /^https$/ }).nullable(),
    source,
  }),
  screening: z.strictObject({ gapsAllowed: z.boolean(), earlyLookAllowed: z.boolean(), source }),
  booking: z.strictObject({
    holdMin: z.number().int().min(1).max(60),
    horizonDays: z.number().int().min(7).max(365),
    /** Until this many hours before the start a patient may move or cancel. */
    patientCutOffHours: z.number().int().min(0).max(168),
    urgentStarts: z.enum(URGENT_STARTS).default('kept'),
    source,
  }),
  standby: z
    .strictObject({
      /** How long a start is kept for whoever is asked, counted outside the quiet hours. */
      answerMin: z.number().int().min(15).max(2880),
      /** Nobody is asked who would have less than this to answer. */
      leastAnswerMin: z.number().int().min(5).max(1440),
      /** A start is only worth asking about when it is this much sooner than the visit they have. */
      soonerHours: z.number().int().min(1).max(720),
      source,
    })
    .default({ answerMin: 240, leastAnswerMin: 30, soonerHours: 24, source: 'clinic policy' }),
  messages: z.strictObject({
    chaseAfterDays: z.array(z.number().int().min(1).max(30)).max(3),
    /** Days of silence after which the coordinator is asked to phone. */
    phoneAfterDays: z.number().int().min(1).max(60),
    stillMissingDaysBefore: z.number().int().min(1).max(14),
    dayBeforeAtLocal: wallTime,
    quietFrom: wallTime,
    quietTo: wallTime,
    source,
  }),
  readiness: z.strictObject({
    /** A home check older than this is asked again. */
    homeCheckFreshDays: z.number().int().min(1).max(180),
    /** An item still open this many hours before the start is late. */
    lateHoursBefore: z.number().int().min(1).max(336),
    source,
  }),
  /** By when what a video visit left over is seen in person. What is merely useful has the routine time. */
  followUp: z.strictObject({ essential: seeBySchema, afterStop: seeBySchema, source }).default({
    essential: { within: 10, unit: 'working_days' },
    afterStop: { within: 1, unit: 'working_days' },
    source: 'clinic policy, no published standard; the licensed lead decides',
  }),
  links: z.strictObject({
    validDays: z.number().int().min(1).max(365),
    wrongTries: z.number().int().min(3).max(20),
    source,
  }),
  feeds: z
    .strictObject({
      /** Whether a clinician's calendar feed says who comes. Calendars are shared and copied to other companies. */
      patientNames: z.boolean(),
      source,
    })
    .default({ patientNames: false, source: 'clinic policy; minimum necessary (HIPAA 45 CFR 164.502(b))' }),
  learning: z
    .strictObject({
      /** A share of fewer than this is said to be a share of few. */
      smallBelow: z.number().int().min(1).max(1000),
      /** A way of doing a station is not judged before it was tried so many times. */
      suggestFrom: z.number().int().min(5).max(1000),
      /** Of what screening says is possible, the share that should be done. */
      expectedDone: z.number().gt(0).max(1),
      source,
    })
    .default({ smallBelow: 30, suggestFrom: 10, expectedDone: 0.8, source: LEARNING_SOURCE }),
})

/** Fields that came later have a default, because a policy that was stored before them is still read. */
export const clinicPolicySchema = policySchema.refine(({ opensAt, closesAt }) => opensAt < closesAt, {
  path: ['opensAt'],
  message: 'the day must begin before it ends',
})
export type ClinicPolicy = z.output<typeof clinicPolicySchema>

/** What a new clinic starts with. */
export const DEFAULT_POLICY: ClinicPolicy = {
  schemaVersion: 1,
  opensAt: '08:00',
  closesAt: '17:00',
  seeBy: {
    routine: { within: 42, unit: 'days' },
    urgent: { within: 10, unit: 'working_days' },
    asap: { within: 3, unit: 'working_days' },
    stat: { within: 1, unit: 'working_days' },
    source: 'clinic policy, no published standard; the licensed lead decides',
  },
  visit: {
    historyMin: 8,
    talkMin: 7,
    grainMin: 5,
    inPersonMin: 30,
    joinAddress: null,
    source:
      'clinic policy; a video visit is planned at least as long as one in person (remote shoulder exams took longer, PMC7803879)',
  },
  screening: { gapsAllowed: false, earlyLookAllowed: true, source: 'clinic policy' },
  booking: {
    holdMin: 10,
    horizonDays: 90,
    patientCutOffHours: 24,
    urgentStarts: 'kept',
    source: 'clinic policy, no published standard; the licensed lead decides',
  },
  standby: { answerMin: 240, leastAnswerMin: 30, soonerHours: 24, source: 'clinic policy' },
  messages: {
    chaseAfterDays: [2, 4],
    phoneAfterDays: 6,
    stillMissingDaysBefore: 3,
    dayBeforeAtLocal: '10:00',
    quietFrom: '20:00',
    quietTo: '08:00',
    source:
      'clinic policy; preparation goes out a week ahead where there is time (Foot & Ankle Orthopaedics, January 2022)',
  },
  readiness: { homeCheckFreshDays: 30, lateHoursBefore: 48, source: 'clinic policy' },
  followUp: {
    essential: { within: 10, unit: 'working_days' },
    afterStop: { within: 1, unit: 'working_days' },
    source: 'clinic policy, no published standard; the licensed lead decides',
  },
  links: { validDays: 60, wrongTries: 5, source: 'clinic policy' },
  feeds: { patientNames: false, source: 'clinic policy; minimum necessary (HIPAA 45 CFR 164.502(b))' },
  learning: { smallBelow: 30, suggestFrom: 10, expectedDone: 0.8, source: LEARNING_SOURCE },
}
