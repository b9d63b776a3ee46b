/** Which set-ups lie ahead of this patient, measured for them: those of the packet, or of the plan where none is booked. */
import type { Db } from '#db/client.ts'
import { effectiveDisposition, findNewestAssessment } from '#db/queries/assessments.ts'
import { findVisitOfReferral } from '#db/queries/board.ts'
import { findNewestPacket } from '#db/queries/packets.ts'
import { getProtocol } from '#db/queries/protocols.ts'
import type { Temporal } from '#lib/base/time.ts'
import { geometriesOf, type SetUpGeometry } from '#lib/domain/geometry/set-up-geometry.ts'
import type { Protocol } from '#lib/domain/protocol/schema.ts'
import type { Disposition } from '#lib/domain/screening/screening.ts'

export type SetUpsAhead = {
  visit: { visitId: string; startsAt: Temporal.Instant } | null
  hasPacket: boolean
  setUps: SetUpGeometry[]
}

const AT_HOME: readonly Disposition[] = ['video', 'video_with_gaps']

/** Empty where nothing is planned at home. `read`: the referral's protocol, where the caller has read it already. */
export async function setUpsAhead(
  db: Db,
  clinicId: string,
  referralId: string,
  read: Protocol | null = null,
): Promise<SetUpsAhead> {
  const visit = await findVisitOfReferral(db, clinicId, referralId)
  if (visit?.mode === 'video') {
    const packet = await findNewestPacket(db, clinicId, visit.visitId)
    const setUps = packet?.content.setUps.flatMap(({ geometry }) => geometry ?? []) ?? []
    const { visitId, startsAt } = visit
    return { visit: { visitId, startsAt }, hasPacket: packet !== null, setUps: onceEach(setUps) }
  }
  const assessment = await findNewestAssessment(db, clinicId, referralId)
  const isAtHome = assessment !== null && AT_HOME.includes(effectiveDisposition(assessment))
  if (visit || !isAtHome || assessment.plan === null) return { visit: null, hasPacket: false, setUps: [] }
  const { screening, plan } = assessment
  const { protocolId, protocolVersion } = screening
  const isRead = read?.id === protocolId && read.version === protocolVersion
  const protocol = isRead ? read : await getProtocol(db, clinicId, protocolId, protocolVersion)
  const ids = plan.steps.map(({ setUpId }) => setUpId)
  const setUps = geometriesOf(protocol, ids, { facts: screening.facts, side: screening.side })
  return { visit: null, hasPacket: false, setUps }
}

function onceEach(setUps: readonly SetUpGeometry[]): SetUpGeometry[] {
  return [...new Map(setUps.map((setUp) => [setUp.setUpId, setUp])).values()]
}
