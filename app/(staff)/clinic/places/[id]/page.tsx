/** One site, new or known, with its rooms. */
import type { Metadata } from 'next'
import Link from 'next/link'
import { notFound } from 'next/navigation'
import { z } from 'zod'
import { type StaffCtx, staffContext } from '#app/_server/staff-page.ts'
import { Actions, Button } from '#app/_ui/button.tsx'
import { DoneNotice } from '#app/_ui/done-notice.tsx'
import { EmptyState } from '#app/_ui/empty-state.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { HiddenField } from '#app/_ui/hidden-field.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { RuledItem, RuledList } from '#app/_ui/ruled.tsx'
import { Section, Split } from '#app/_ui/section.tsx'
import { SelectField } from '#app/_ui/select-field.tsx'
import { TextField } from '#app/_ui/text-field.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { invariant } from '#lib/base/invariant.ts'
import { US_STATES } from '#lib/domain/intake/us-states.ts'
import { type PlacesView, readPlaces } from '#lib/usecases/read-clinic-setup.ts'
import { count } from '../../../referrals/words.ts'
import styles from '../../clinic.module.css'
import { EffectsNotice } from '../../effects-notice.tsx'
import { keepRoom, keepSite, standRoom, standSite } from './actions.ts'

export const metadata: Metadata = { title: 'Site' }

const DONE = {
  added: 'Added. Give it its rooms.',
  saved: 'Saved.',
  room: 'The rooms are saved.',
  give_up: 'Noted: no longer used.',
  take_back: 'It is used again.',
} as const
/** Anything that isn't one of ours counts as not given: an address may be typed. */
const query = z.object({
  room: z.string().nullable().catch(null),
})

export default async function SitePage({ params, searchParams }: PageProps<'/clinic/places/[id]'>) {
  const ctx = await staffContext('place.write')
  const { id } = await params
  const asked = await searchParams
  const { room } = query.parse(asked)
  const read = await readPlaces(ctx)
  invariant(read.ok, 'the page has asked for the same permission')
  const site = read.value.sites.find((each) => each.id === id)
  if (id !== 'new' && !site) notFound()
  return (
    <>
      <BackLink href="/clinic/places">Places</BackLink>
      <Opener kicker="Site">
        {site
          ? `${site.name}, ${count(site.rooms.filter(({ isActive }) => isActive).length, 'room')}.`
          : 'Where is the new site?'}
      </Opener>
      <DoneNotice words={DONE} done={asked.done} />
      {site && !site.isActive && <Notice kind="caution" heading="No longer used" />}
      {!site ? (
        <SiteForm ctx={ctx} site={null} timeZone={read.value.timeZone} />
      ) : (
        <Split beside={<Standing ctx={ctx} site={site} />}>
          <Rooms ctx={ctx} site={site} chosen={room} />
          <Section heading="Where it is">
            <SiteForm ctx={ctx} site={site} timeZone={site.timeZone} />
          </Section>
        </Split>
      )}
    </>
  )
}

type Site = PlacesView['sites'][number]

function SiteForm({ ctx, site, timeZone }: { ctx: StaffCtx; site: Site | null; timeZone: string }) {
  return (
    <FormShell action={keepSite.bind(null, site?.id ?? null)} commandKey={ctx.newId('cmd')}>
      {site && <HiddenField name="version" value={String(site.version)} />}
      <TextField name="name" label="Name" value={site?.name} width={20} />
      <TextField name="address" label="Address" hint="As patients get it in their letters." value={site?.address} />
      <SelectField
        name="state"
        label="State"
        hint="Who may see people here depends on it."
        none="Choose a state"
        value={site?.state}
        options={US_STATES.map(({ code, name }) => ({ value: code, label: name }))}
      />
      <TextField
        name="timeZone"
        label="Time zone"
        hint="Its full name, like America/New_York."
        value={timeZone}
        width={20}
        spellCheck={false}
      />
      <EffectsNotice />
      <Actions>
        <Button>{site ? 'Save' : 'Add this site'}</Button>
      </Actions>
    </FormShell>
  )
}

function Rooms({ ctx, site, chosen }: { ctx: StaffCtx; site: Site; chosen: string | null }) {
  const room = site.rooms.find(({ id }) => id === chosen) ?? null
  const here = `/clinic/places/${site.id}`
  const version = <HiddenField name="siteVersion" value={String(site.version)} />
  return (
    <Section heading="Rooms" id="rooms">
      <div className={styles.parts}>
        {site.rooms.length === 0 ? (
          <EmptyState>No room yet. Nobody can be seen here without one.</EmptyState>
        ) : (
          <RuledList label="Rooms">
            {site.rooms.map(({ id, name, isActive }) => (
              <RuledItem
                key={id}
                end={
                  id !== room?.id && (
                    <Link href={`${here}?room=${id}#rooms`}>
                      Change <span className={styles.hidden}>{name}</span>
                    </Link>
                  )
                }
              >
                {isActive ? <strong>{name}</strong> : <span className={styles.closed}>{name}, no longer used</span>}
              </RuledItem>
            ))}
          </RuledList>
        )}
        <FormShell
          key={room?.id ?? 'new'}
          action={keepRoom.bind(null, site.id, room?.id ?? null)}
          commandKey={ctx.newId('cmd')}
        >
          {version}
          <TextField
            name="roomName"
            label={room ? `Another name for ${room.name}` : 'Name of another room'}
            value={room?.name}
            width={20}
          />
          <EffectsNotice />
          <Actions>
            <Button look="plain">{room ? 'Save its name' : 'Add this room'}</Button>
            {room && <Link href={`${here}#rooms`}>Leave it as it is</Link>}
          </Actions>
        </FormShell>
        {room && (
          <FormShell
            action={standRoom.bind(null, site.id, room.id, room.isActive ? 'give_up' : 'take_back')}
            commandKey={ctx.newId('cmd')}
          >
            {version}
            <EffectsNotice />
            <Actions>
              <Button look={room.isActive ? 'grave' : 'plain'} id="standRoom">
                {room.isActive ? `Stop using ${room.name}` : `Use ${room.name} again`}
              </Button>
            </Actions>
          </FormShell>
        )}
      </div>
    </Section>
  )
}

function Standing({ ctx, site }: { ctx: StaffCtx; site: Site }) {
  return (
    <Section heading={site.isActive ? 'Giving it up' : 'Using it again'}>
      <FormShell
        action={standSite.bind(null, site.id, site.isActive ? 'give_up' : 'take_back')}
        commandKey={ctx.newId('cmd')}
      >
        <HiddenField name="siteVersion" value={String(site.version)} />
        <p>
          {site.isActive
            ? `Nothing new is booked here. It stays on every visit that was here.${
                site.sessionCount > 0 ? ` First end or move its ${count(site.sessionCount, 'session')}.` : ''
              }`
            : 'Visits can be booked here again.'}
        </p>
        <EffectsNotice />
        <Actions>
          <Button look={site.isActive ? 'grave' : 'plain'} id="stand">
            {site.isActive ? `Stop using ${site.name}` : `Use ${site.name} again`}
          </Button>
        </Actions>
      </FormShell>
    </Section>
  )
}
