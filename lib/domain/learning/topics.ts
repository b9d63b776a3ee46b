/** What the clinic asks of its own past, one page a topic, and the tables that answer it. */
export const TOPICS = ['stations', 'visits', 'readiness', 'missed', 'days', 'waits', 'reminders'] as const
export type Topic = (typeof TOPICS)[number]

export const TOPIC_WORDS: Readonly<Record<Topic, { words: string; asks: string }>> = {
  stations: { words: 'Stations', asks: 'Was done at home what screening said could be done, and why not?' },
  visits: { words: 'Visits', asks: 'What became of visits, by what screening decided?' },
  readiness: { words: 'Readiness', asks: 'Does a visit that is ready a day before go better?' },
  missed: { words: 'Missed visits', asks: 'Who did not come, and how long ahead was it booked?' },
  days: { words: 'Days to be seen', asks: 'How long from the referral to the decision, and to the visit?' },
  waits: { words: 'Waits over time', asks: 'How did the third next available start move?' },
  reminders: { words: 'Reminders', asks: 'Do reminders change what happens?' },
}

/** Whether a filter means anything for a topic: a wait is nobody's condition. */
export const TOPIC_HAS_CONDITION: Readonly<Record<Topic, boolean>> = {
  stations: true,
  visits: true,
  readiness: true,
  missed: true,
  days: true,
  waits: false,
  reminders: true,
}
