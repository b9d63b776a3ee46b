/** The items of one visit: what is open first and in full, what is done behind it in one line. */
import { Mark } from '#app/_ui/mark.tsx'
import { ITEM_WORDS, type ItemActor, type ItemReadiness } from '#lib/domain/readiness/items.ts'
import styles from './board.module.css'

const ACTORS: Record<ItemActor, string> = {
  patient: 'patient',
  helper: 'helper',
  coordinator: 'coordinator',
  clinician: 'clinician',
  nobody: '',
}

export function ReadinessList({ items }: { items: readonly ItemReadiness[] }) {
  const open = items.filter((item) => ['cannot', 'late', 'waiting'].includes(item.state))
  const done = items.filter((item) => item.state === 'done')
  return (
    <div className={styles.items}>
      {open.length > 0 && (
        <ul>
          {open.map(({ item, state, actor }) => (
            <li key={item}>
              <Mark state={state}>
                {ITEM_WORDS[item]}
                {actor === 'nobody' ? '' : ` (${ACTORS[actor]})`}: {WORDS[state]}
              </Mark>
            </li>
          ))}
        </ul>
      )}
      {done.length > 0 && (
        <p>
          <Mark state="done">{done.map(({ item }) => ITEM_WORDS[item]).join(', ')}</Mark>
        </p>
      )}
    </div>
  )
}

const WORDS: Record<ItemReadiness['state'], string> = {
  cannot: 'cannot',
  late: 'late',
  waiting: 'waiting',
  done: 'done',
  not_needed: 'not needed',
}
