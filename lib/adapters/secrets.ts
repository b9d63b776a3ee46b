/**
 * Unguessable things and what may be kept of them. Numbers: OWASP ASVS 5.0, 11.5.1 (at least 128 bits from a secure
 * generator; a UUID does not reach that) and appendix C (argon2id: at least 46 MiB, one pass, one lane).
 */
import { createHash, randomBytes } from 'node:crypto'
import { hash, verify } from '@node-rs/argon2'

/** The parameters are written into each hash, so raising them keeps the old hashes valid. argon2id is the default. */
const ARGON2ID = { memoryCost: 46 * 1024, timeCost: 1, parallelism: 1 }

/** The `SecretPort` of every use case. */
export const secrets = {
  newToken: () => randomBytes(32).toString('base64url'),
  /** A token has 256 bits of its own, so a plain hash of it cannot be guessed back. */
  hashToken: (token: string) => sha256(token),
  hashText: (text: string) => sha256(text),
  hashPassword: (password: string) => hash(password.normalize('NFC'), ARGON2ID),
  verifyPassword: (passwordHash: string, password: string) => verify(passwordHash, password.normalize('NFC')),
}

/** `ref_…`: the prefix says what it names, the rest is 128 bits. */
export function newId(prefix: string): string {
  return `${prefix}_${randomBytes(16).toString('base64url')}`
}

function sha256(text: string): string {
  return createHash('sha256').update(text).digest('base64url')
}
