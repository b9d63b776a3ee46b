/** The frame of the patient's pages, in their language. It guards nothing: each page and action asks for its own context. */
import type { ReactNode } from 'react'
import { patientFrameWords } from '#app/_server/patient-frame-words.ts'
import { clinicOfVisitor, currentPatient } from '#app/_server/patient-page.ts'
import { PatientFrame } from '#app/_ui/patient-frame.tsx'

export default async function PatientLayout({ children }: { children: ReactNode }) {
  const clinic = await clinicOfVisitor()
  const language = (await currentPatient())?.language ?? 'en'
  return (
    <PatientFrame clinic={clinic} words={patientFrameWords(language, clinic)}>
      {children}
    </PatientFrame>
  )
}
