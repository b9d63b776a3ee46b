/** The frame of the patient's pages, in their language. It guards nothing: each page and action asks for its own context. */
import type { ReactNode } from 'react'
import { patientFrameWords } from '#app/_server/patient-frame-words.ts'
import { clinicOfVisitor, currentPatient, languageOfVisitor } from '#app/_server/patient-page.ts'
import { Arrival } from '#app/_ui/arrival.tsx'
import { PatientFrame } from '#app/_ui/patient-frame.tsx'
import { PATIENT_IDLE_MIN } from '#lib/usecases/read-patient-session.ts'
import { wordsFor } from '#lib/words/words.ts'
import { closeMyPage } from './session-actions.ts'
import { StayOpen } from './stay-open.tsx'

/** A page is warned about so long before it closes: WCAG 2.2 SC 2.2.1 wants at least 20 seconds. */
const WARNED_MIN = 5

export default async function PatientLayout({ children }: { children: ReactNode }) {
  const clinic = await clinicOfVisitor()
  const patient = await currentPatient()
  const language = await languageOfVisitor()
  const t = wordsFor(language)
  return (
    <PatientFrame
      clinic={clinic}
      words={patientFrameWords(language, clinic)}
      close={patient ? closeMyPage : undefined}
      warning={
        patient && (
          <StayOpen
            afterMin={PATIENT_IDLE_MIN - WARNED_MIN}
            words={{
              heading: t('common.idle.heading'),
              body: t('common.idle.body', { minutes: WARNED_MIN }),
              stay: t('common.idle.stay'),
            }}
          />
        )
      }
    >
      {children}
      <Arrival />
    </PatientFrame>
  )
}
