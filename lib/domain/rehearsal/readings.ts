/** What a camera rehearsal found, as it is sent and kept: numbers alone, and never a picture. */
import { z } from 'zod'

const share = z.number().min(0).max(10)

export const readingsSchema = z.strictObject({
  setUpId: z.string().min(1).max(60),
  /** As the camera gives it. */
  frame: z.strictObject({
    width: z.number().int().min(1).max(10_000),
    height: z.number().int().min(1).max(10_000),
    perSecond: z.number().min(0).max(240),
  }),
  /** Mean shade, 0 to 255. */
  brightness: z.number().min(0).max(255),
  /** Standard deviation of the shades. */
  contrast: z.number().min(0).max(128),
  sharpness: share,
  /** Mean shift from frame to frame, a quarter of a second apart, as a share of the picture's width. */
  shake: share,
  /** To the clinic's own server; null = could not be measured. */
  line: z
    .strictObject({ roundTripMs: z.number().min(0).max(120_000), downKbps: z.number().min(0).max(10_000_000) })
    .nullable(),
})
export type Readings = z.output<typeof readingsSchema>
