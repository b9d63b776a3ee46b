'use client'

/** The visits that a change would strand, and the box without which it is not saved. Nothing where it strands none. */
import { use } from 'react'
import { CheckboxGroup } from '#app/_ui/checkbox-group.tsx'
import { FormContext } from '#app/_ui/form-context.ts'
import { Notice } from '#app/_ui/notice.tsx'
import { RuledItem, RuledList } from '#app/_ui/ruled.tsx'
import styles from './clinic.module.css'
import type { ShownEffects } from './effect-words.ts'

export function EffectsNotice() {
  const { effects } = use(FormContext).values
  return effects ? <Shown effects={JSON.parse(effects) as ShownEffects} /> : null
}

export function Shown({ effects: { lines, marks, held, regained } }: { effects: ShownEffects }) {
  const isOne = lines.length === 1
  return (
    <>
      {lines.length > 0 && (
        <Notice
          kind="urgent"
          heading={isOne ? 'One booked visit loses its place' : `${lines.length} booked visits lose their place`}
          level={3}
        >
          <div className={styles.parts}>
            <RuledList label="Visits that lose their place">
              {lines.map(({ visitId, href, when, who, why }) => (
                <RuledItem key={visitId}>
                  <p>
                    <strong>{when}</strong>
                    <br />
                    {href === null ? who : <a href={href}>{who}</a>}
                  </p>
                  <p className={styles.soft}>Because {why}.</p>
                </RuledItem>
              ))}
            </RuledList>
            <CheckboxGroup
              name="confirmed"
              label="Before you save"
              hint={`${isOne ? 'It stays' : 'They stay'} booked until somebody finds another start; a task on the desk asks for it.`}
              options={[
                { value: marks, label: isOne ? 'I have seen this visit' : `I have seen these ${lines.length} visits` },
              ]}
            />
          </div>
        </Notice>
      )}
      {held !== null && <p>{held}</p>}
      {regained !== null && <p>{regained}</p>}
    </>
  )
}
