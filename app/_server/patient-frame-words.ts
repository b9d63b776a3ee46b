/** What stands around a patient's page, from the catalogue. */
import type { Locale } from '#lib/domain/protocol/schema.ts'
import type { ClinicContact } from '#lib/usecases/read-clinics.ts'
import { wordsFor } from '#lib/words/words.ts'

export function patientFrameWords(language: Locale, clinic: ClinicContact | null) {
  const t = wordsFor(language)
  return {
    skip: t('common.skip'),
    leave: t('common.leave'),
    questions: clinic ? t('common.questions', { clinic: clinic.name }) : t('common.callLetter'),
    emergency: clinic ? t('common.emergency', { number: clinic.emergencyNumber }) : '',
  }
}
