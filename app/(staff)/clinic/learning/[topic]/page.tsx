/** One question the clinic asks of its own past, with the counts, how sure they are, and a plot beside each. */
import type { Metadata } from 'next'
import { notFound } from 'next/navigation'
import { staffContext } from '#app/_server/staff-page.ts'
import { Opener } from '#app/_ui/opener.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { invariant } from '#lib/base/invariant.ts'
import { TOPIC_WORDS, TOPICS } from '#lib/domain/learning/topics.ts'
import { learningFilters, readLearning } from '#lib/usecases/read-learning.ts'
import { Filters, queryOf, TopicLinks } from '../filters.tsx'
import styles from '../learning.module.css'
import { LearningSection } from '../table.tsx'
import { sentenceOf } from '../words.ts'

type Props = PageProps<'/clinic/learning/[topic]'>

const topicOf = (given: string) => TOPICS.find((topic) => topic === given)

export async function generateMetadata({ params }: Props): Promise<Metadata> {
  const topic = topicOf((await params).topic)
  return topic === undefined ? {} : { title: TOPIC_WORDS[topic].words }
}

export default async function LearningTopicPage({ params, searchParams }: Props) {
  const ctx = await staffContext('learning.read')
  const topic = topicOf((await params).topic) ?? notFound()
  const asked = learningFilters.parse(await searchParams)
  const result = await readLearning(ctx, { ...asked, topic })
  invariant(result.ok, 'the page has asked for the same permission')
  const view = result.value
  const query = queryOf(view)
  const kinds = new Set(view.tables.map(({ kind }) => kind))
  return (
    <>
      <BackLink href="/clinic/learning">What the clinic learns</BackLink>
      <Opener kicker={TOPIC_WORDS[topic].words}>{sentenceOf(topic, view)}</Opener>
      <TopicLinks current={topic} query={query} />
      <Filters view={view} asked={asked} />
      {view.tables.map((table) => (
        <LearningSection
          key={table.id}
          table={table}
          smallBelow={view.smallBelow}
          csv={`/clinic/learning/${topic}/${table.id}.csv${query}`}
        />
      ))}
      <p className={styles.note}>
        {kinds.has('share') &&
          'The dot is the share, open where it is of few; the line is its 95 % interval (Wilson, without continuity correction). '}
        {kinds.has('days') && 'The bar is the middle half, its notch the median; the line goes on to nine in ten. '}
        {!kinds.has('trend') && `Fewer than ${view.smallBelow} are few: they say little, whatever they say. `}
        Nothing here changes anything by itself.
      </p>
    </>
  )
}
