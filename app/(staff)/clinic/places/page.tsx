/** Where people are seen: sites with their rooms, and what is no longer used. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { staffContext } from '#app/_server/staff-page.ts'
import { ButtonLink } from '#app/_ui/button.tsx'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import { Mark } from '#app/_ui/mark.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { RuledItem, RuledList } from '#app/_ui/ruled.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { invariant } from '#lib/base/invariant.ts'
import { readPlaces } from '#lib/usecases/read-clinic-setup.ts'
import { zonePlace } from '#lib/words/session-words.ts'
import { count } from '../../referrals/words.ts'
import styles from '../clinic.module.css'
import { stateName } from '../people/words.ts'

export const metadata: Metadata = { title: 'Places' }

export default async function PlacesPage() {
  const ctx = await staffContext('place.write')
  const read = await readPlaces(ctx)
  invariant(read.ok, 'the page has asked for the same permission')
  const { sites } = read.value
  const used = sites.filter(({ isActive }) => isActive)
  const rooms = used.flatMap((site) => site.rooms.filter(({ isActive }) => isActive))
  return (
    <>
      <BackLink href="/clinic">Clinic</BackLink>
      <Opener kicker="Places">
        People are seen at {count(used.length, 'site')} with {count(rooms.length, 'room')}.
      </Opener>
      <div className={styles.top}>
        <ButtonLink href="/clinic/places/new" look="deed">
          Add a site
        </ButtonLink>
      </div>
      {sites.length === 0 ? (
        <EmptyState>No site yet. Without one, visits are by video only.</EmptyState>
      ) : (
        <RuledList label="Sites">
          {[...used, ...sites.filter(({ isActive }) => !isActive)].map((site) => (
            <RuledItem
              key={site.id}
              end={
                <span className={styles.soft}>
                  {site.sessionCount === 0 ? 'No session' : count(site.sessionCount, 'session')}
                </span>
              }
            >
              <p>
                <Link href={`/clinic/places/${site.id}`} className={styles.name}>
                  {site.name}
                </Link>
              </p>
              <p className={styles.soft}>
                {site.address} · {stateName(site.state)} · {zonePlace(site.timeZone)}
              </p>
              <p className={styles.soft}>{roomsLine(site.rooms)}</p>
              {!site.isActive && (
                <p>
                  <Mark state="not_needed">No longer used</Mark>
                </p>
              )}
            </RuledItem>
          ))}
        </RuledList>
      )}
    </>
  )
}

function roomsLine(rooms: readonly { name: string; isActive: boolean }[]): string {
  const used = rooms.filter(({ isActive }) => isActive)
  return used.length === 0 ? 'No room: nobody can be seen here' : used.map(({ name }) => name).join(', ')
}
