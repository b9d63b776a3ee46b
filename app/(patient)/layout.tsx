/** The frame of the patient's pages, in their language. It guards nothing: each page and action asks for its own context. */
import type { ReactNode } from 'react'
import { patientFrameWords } from '#app/_server/patient-frame-words.ts'
import { clinicOfVisitor, currentPatient, languageOfVisitor } from '#app/_server/patient-page.ts'
import { PatientFrame } from '#app/_ui/patient-frame.tsx'
import { closeMyPage } from './session-actions.ts'

export default async function PatientLayout({ children }: { children: ReactNode }) {
  const clinic = await clinicOfVisitor()
  const patient = await currentPatient()
  return (
    <PatientFrame
      clinic={clinic}
      words={patientFrameWords(await languageOfVisitor(), clinic)}
      close={patient ? closeMyPage : undefined}
    >
      {children}
    </PatientFrame>
  )
}
