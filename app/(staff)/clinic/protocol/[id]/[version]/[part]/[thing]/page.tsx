/** One thing of a protocol with all it says: a form for the lead where it is a draft, else to be read. */
import type { Metadata } from 'next'
import { notFound } from 'next/navigation'
import { Actions, Button } from '#app/_ui/button.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { HiddenField } from '#app/_ui/hidden-field.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { KeyValueList } from '#app/_ui/ruled.tsx'
import { Section } from '#app/_ui/section.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { fieldAt } from '#lib/domain/versions/edit.ts'
import { type Field, fieldsOf, figureFields, STANDS } from '#lib/domain/versions/fields.ts'
import { mendingOf, PART_NAMES, PARTS, placeOf, titleOf } from '#lib/domain/versions/parts.ts'
import { openVersion } from '../../../../open-version.ts'
import styles from '../../../../protocol.module.css'
import { addressOf, PART_HEADINGS } from '../../../../words.ts'
import { keepThing, retire } from '../../actions.ts'
import { FieldGroups } from './field-groups.tsx'

export const metadata: Metadata = { title: 'Protocol' }

export default async function ThingPage({ params }: PageProps<'/clinic/protocol/[id]/[version]/[part]/[thing]'>) {
  const { part: asked, thing, ...address } = await params
  const { version, protocol, mark, mayWrite, ctx, faults } = await openVersion(address)
  const part = PART_NAMES.find((each) => each === asked) ?? null
  if (part === null && (asked !== 'figures' || thing !== 'all')) notFound()
  const groups = part === null ? figureFields(protocol) : fieldsOf(protocol, part, thing)
  if (!groups) notFound()
  const which = { id: version.id, version: version.version }
  const title = part === null ? 'Thresholds and costs' : titleOf(protocol, PARTS[part].list, thing)
  const list = part ?? 'figures'
  const own = faults.filter((fault) => part !== null && placeOf(protocol, fault)?.id === thing)
  return (
    <>
      <BackLink href={`${addressOf(which)}/${list}${part === null ? '' : `#${thing}`}`}>{PART_HEADINGS[list]}</BackLink>
      <Opener kicker={`${part === null ? 'Figures' : PARTS[part].one}, version ${version.version}`}>{title}</Opener>
      {own.length > 0 && (
        <Notice kind="caution" heading="Something is to be mended here">
          {own.map((fault) => (
            <p key={fault.path + fault.message}>
              {fieldAt(
                groups.flatMap(({ fields }) => fields),
                fault.path,
              )?.label ?? title}
              : {fault.message}. {mendingOf(fault)}
            </p>
          ))}
        </Notice>
      )}
      {mayWrite ? (
        <>
          <FormShell action={keepThing.bind(null, which, part, thing)} commandKey={ctx.newId('cmd')}>
            <HiddenField name="mark" value={mark} />
            <FieldGroups groups={groups} />
            <Actions>
              <Button id="keep">Save in the draft</Button>
            </Actions>
          </FormShell>
          {part === 'stations' && (
            <div className={styles.below}>
              <Section heading="Retire it">
                <FormShell action={retire.bind(null, which, thing)} commandKey={ctx.newId('cmd')}>
                  <HiddenField name="mark" value={mark} />
                  <p>
                    It leaves every condition and the order, and with it goes what only it used. You see all of it under
                    what changes, and can take it back there.
                  </p>
                  <Actions>
                    <Button look="grave" id="retire">
                      Retire “{title}”
                    </Button>
                  </Actions>
                </FormShell>
              </Section>
            </div>
          )}
        </>
      ) : (
        groups.map(({ heading, fields }) => (
          <Section key={heading} heading={heading}>
            <KeyValueList items={fields.filter(isSaid).map((field) => ({ name: field.label, value: shown(field) }))} />
          </Section>
        ))
      )}
    </>
  )
}

/** What stands empty, and a station that is no part of the condition, need no line. */
function isSaid({ value, paths: [name = ''] }: Field): boolean {
  return value !== '' && !(name.includes(STANDS) && value === 'not_part')
}

function shown({ value, unit, options, paths: [name = ''] }: Field) {
  const words = options?.find((option) => option.value === value)?.label ?? value
  return <span lang={name.endsWith('.es') ? 'es' : undefined}>{unit ? `${words} ${unit}` : words}</span>
}
