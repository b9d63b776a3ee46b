/**
 * Who can sign in to the demo clinic. Published on purpose, so production refuses
 * to start over a database in which one of these is active.
 */
import type { Role } from '#lib/domain/access/actor.ts'

export type DemoSignIn = {
  id: string
  email: string
  password: string
  name: string
  role: Role
  clinicianId: string | null
}

export const DEMO_SIGN_INS: readonly DemoSignIn[] = [
  {
    id: 'stf_demo_coordinator',
    email: 'coordinator@larkfield.example.org',
    password: 'four quiet herons wade',
    name: 'Robin Marl',
    role: 'coordinator',
    clinicianId: null,
  },
  {
    id: 'stf_demo_clinician',
    email: 'clinician@larkfield.example.org',
    password: 'seven slow rivers bend',
    name: 'Imogen Slate',
    role: 'clinician',
    clinicianId: 'cli_slate',
  },
  {
    id: 'stf_demo_lead',
    email: 'lead@larkfield.example.org',
    password: 'nine paper lanterns glow',
    name: 'Tobias Chalk',
    role: 'lead',
    clinicianId: 'cli_chalk',
  },
  {
    id: 'stf_demo_admin',
    email: 'admin@larkfield.example.org',
    password: 'two copper kettles sing',
    name: 'Ines Ochre',
    role: 'admin',
    clinicianId: null,
  },
]
