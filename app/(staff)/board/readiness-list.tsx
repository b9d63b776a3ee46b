/** The items of one visit: what is open first and in full, what is done behind it in one line. */
import { Mark } from '#app/_ui/mark.tsx'
import { ITEM_WORDS, type ItemReadiness } from '#lib/domain/readiness/items.ts'
import styles from './board.module.css'

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
                {state === 'late' ? ', late' : state === 'cannot' ? ', cannot' : ''}
                {actor === 'nobody' || actor === 'helper' ? '' : `: ${actor} acts`}
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
