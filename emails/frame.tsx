/** What every mail has around it: the clinic, the greeting, the one button, and at the foot whom to call, always. */
import { Body, Button, Container, Head, Heading, Hr, Html, Link, Text } from '@react-email/components'
import type { ReactNode } from 'react'
import type { Letter } from '#lib/domain/messages/mail.ts'
import type { Words } from '#lib/words/words.ts'
import * as look from './look.ts'

/** A letter with its words and the address its link leads to. */
export type TemplateProps = { letter: Letter; say: Words; link: string | null }

type Props = TemplateProps & { heading: string; button?: string; children: ReactNode }

export function Frame({ letter, say, link, heading, button, children }: Props) {
  const { clinic, locale, givenName } = letter
  return (
    <Html lang={locale}>
      <Head>
        <meta name="color-scheme" content="light dark" />
        <meta name="supported-color-schemes" content="light dark" />
        <title>{heading}</title>
        <style>{look.darkScheme}</style>
      </Head>
      <Body style={look.body} className="paper">
        <Container style={look.column}>
          <Text style={look.small}>{clinic.name}</Text>
          <Hr style={look.line} />
          <Heading as="h1" style={look.heading}>
            {heading}
          </Heading>
          <Text style={look.text}>{say('mail.hello', { name: givenName })}</Text>
          {children}
          {link !== null && button !== undefined && (
            <>
              <Button href={link} style={look.button} className="act">
                {button}
              </Button>
              <Text style={{ ...look.small, marginTop: '16px' }}>{say('mail.frame.needBirthDate')}</Text>
              <Text style={look.small}>
                {say('mail.frame.linkAddress')}{' '}
                <Link href={link} style={look.link} className="accent">
                  {link}
                </Link>
              </Text>
            </>
          )}
          <Hr style={look.line} />
          <Text style={look.small}>
            <strong>{say('mail.frame.emergency', { number: clinic.emergencyNumber })}</strong>
          </Text>
          <Text style={look.small}>
            {say('mail.frame.questions', { clinic: clinic.name, phone: clinic.phone })} {say('mail.frame.noReply')}
          </Text>
        </Container>
      </Body>
    </Html>
  )
}
