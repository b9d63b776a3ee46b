/** "Is this somebody the clinic knows?": both records side by side, with what speaks for it. */

import { Actions, Button } from '#app/_ui/button.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { RuledTable } from '#app/_ui/ruled.tsx'
import { Section } from '#app/_ui/section.tsx'
import { fullName } from '#lib/base/plain-text.ts'
import { MATCH_REASON_WORDS } from '#lib/domain/intake/matching.ts'
import { phoneWords } from '#lib/domain/intake/phone-number.ts'
import type { ReferralPage } from '#lib/usecases/read-referral.ts'
import { birthDateWords } from '../words.ts'
import { decide } from './actions.ts'

export function SamePerson({ page: { matches, patient, referral, may } }: { page: ReferralPage }) {
  const open = matches.filter(({ decision }) => decision === null)
  if (open.length === 0) return null
  const phone = (number: string | null) => (number === null ? 'not known' : phoneWords(number))
  const place = [patient.city, patient.state].filter(Boolean).join(', ')
  return (
    <Section id="same-person" heading="Same person?">
      <p>Two people made one is found out too late; if in doubt, keep them apart and ask on the phone.</p>
      {open.map((match) => (
        <div key={match.candidateId} id={`match-${match.candidateId}`}>
          <RuledTable
            caption={`Speaks for it: ${match.because.map((reason) => MATCH_REASON_WORDS[reason]).join(', ')}`}
            head={['', 'This referral', 'Known to the clinic']}
          >
            <Row name="Name" here={fullName(patient)} there={match.name} />
            <Row name="Born" here={birthDateWords(patient.birthDate)} there={birthDateWords(match.birthDate)} />
            <Row name="Phone" here={phone(patient.phone)} there={phone(match.phone)} />
            <Row name="E-mail" here={patient.email ?? 'none'} there={match.email ?? 'none'} />
            <Row
              name="Lives in"
              here={place === '' ? 'not known' : place}
              there={match.place === '' ? 'not known' : match.place}
            />
          </RuledTable>
          {may.decideMatch && (
            <FormShell action={decide.bind(null, referral.id, match.candidateId)}>
              <Actions>
                <Button name="decision" value="same">
                  Same person: join them
                </Button>
                <Button look="plain" name="decision" value="different">
                  Different people: keep them apart
                </Button>
              </Actions>
            </FormShell>
          )}
        </div>
      ))}
    </Section>
  )
}

function Row({ name, here, there }: { name: string; here: string; there: string }) {
  return (
    <tr>
      <th scope="row">{name}</th>
      <td>{here}</td>
      <td>{here === there ? there : <strong>{there}</strong>}</td>
    </tr>
  )
}
