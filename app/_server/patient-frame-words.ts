/** What stands around a patient's page, from the catalogue. */
import type { Locale } from '#lib/domain/protocol/schema.ts'
import type { ClinicContact } from '#lib/usecases/read-clinics.ts'
import { PATIENT_IDLE_MIN } from '#lib/usecases/read-patient-session.ts'
import { wordsFor } from '#lib/words/words.ts'

export function patientFrameWords(language: Locale, clinic: ClinicContact | null) {
  const t = wordsFor(language)
  return {
    skip: t('common.skip'),
    leave: t('common.leave'),
    idle: t('common.idle.rule', { minutes: PATIENT_IDLE_MIN }),
    questions: clinic ? t('common.questions', { clinic: clinic.name }) : t('common.callLetter'),
    emergency: clinic ? t('common.emergency', { number: clinic.emergencyNumber }) : '',
  }
}
