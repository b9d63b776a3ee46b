/** Things that stations use, and the household things that stand in for them. */
import type { Equipment } from '../schema.ts'
import { SOURCES } from './sources.ts'

export const equipment: Equipment[] = [
  {
    id: 'strap',
    title: { en: 'A strap or long belt', es: 'Una correa o un cinto largo' },
    anyOf: [
      { fact: 'strap', title: { en: 'A strap or long belt', es: 'Una correa o un cinto largo' } },
      { fact: 'towel', title: { en: 'A long towel', es: 'Una toalla larga' } },
    ],
    source: SOURCES.practice,
  },
  {
    id: 'block',
    title: { en: 'A firm block, 1 to 1.5 inches thick', es: 'Un taco firme de 2.5 a 4 cm' },
    anyOf: [
      { fact: 'block', title: { en: 'A flat wood block', es: 'Un taco de madera plano' } },
      { fact: 'book', title: { en: 'A firm book', es: 'Un libro firme' } },
    ],
    source: SOURCES.block,
  },
  {
    id: 'prop',
    title: { en: 'A low stool or books to prop the phone on', es: 'Un banco bajo o libros para apoyar el teléfono' },
    anyOf: [{ fact: 'camera_prop', title: { en: 'A low stool or books', es: 'Un banco bajo o unos libros' } }],
    source: SOURCES.remoteSetUp,
  },
  {
    id: 'tape',
    title: { en: 'A tape measure', es: 'Una cinta para medir' },
    anyOf: [{ fact: 'tape', title: { en: 'A tape measure', es: 'Una cinta para medir' } }],
    source: SOURCES.practice,
  },
]
