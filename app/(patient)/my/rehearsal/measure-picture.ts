/** Measures what a running camera shows, on small frames, in this browser alone. */
import { MEASURED_SIDE } from '#lib/domain/rehearsal/advice.ts'
import {
  brightnessOf,
  contrastOf,
  type Frame,
  frameOf,
  sharpnessOf,
  shiftBetween,
} from '#lib/domain/rehearsal/picture.ts'
import type { Readings } from '#lib/domain/rehearsal/readings.ts'

const FRAMES = 12
const BETWEEN_MS = 250

/** Looks for three seconds. The median of each measure counts, so that one bad frame does not; of the shifts the mean. */
export async function measurePicture(video: HTMLVideoElement): Promise<Omit<Readings, 'setUpId' | 'line'>> {
  const context = Object.assign(document.createElement('canvas'), sizeOf(video)).getContext('2d', {
    willReadFrequently: true,
  })
  if (!context) throw new Error('this browser draws no canvas')
  const pictures = countPictures(video)
  const frames: Frame[] = []
  for (let taken = 0; taken < FRAMES; taken += 1) {
    await new Promise((resolve) => setTimeout(resolve, BETWEEN_MS))
    frames.push(grab(video, context))
  }
  const shifts = frames.slice(1).map((frame, index) => shiftBetween(frames[index] ?? frame, frame))
  return {
    frame: { width: video.videoWidth, height: video.videoHeight, perSecond: pictures() },
    brightness: median(frames.map(brightnessOf)),
    contrast: median(frames.map(contrastOf)),
    sharpness: median(frames.map(sharpnessOf)),
    shake: shifts.reduce((sum, shift) => sum + shift, 0) / shifts.length,
  }
}

function sizeOf({ videoWidth, videoHeight }: HTMLVideoElement): { width: number; height: number } {
  const scale = Math.min(1, MEASURED_SIDE / Math.max(videoWidth, videoHeight))
  return { width: Math.round(videoWidth * scale), height: Math.round(videoHeight * scale) }
}

function grab(video: HTMLVideoElement, context: CanvasRenderingContext2D): Frame {
  const { width, height } = context.canvas
  context.drawImage(video, 0, 0, width, height)
  return frameOf(context.getImageData(0, 0, width, height).data, width, height)
}

/** Pictures a second since the call. A browser that does not tell each picture says what its camera promises. */
function countPictures(video: HTMLVideoElement): () => number {
  const promised = () => {
    const stream = video.srcObject
    return stream instanceof MediaStream ? (stream.getVideoTracks()[0]?.getSettings().frameRate ?? 0) : 0
  }
  if (!('requestVideoFrameCallback' in video)) return promised
  const start = performance.now()
  let count = 0
  let isOver = false
  const next = () => {
    count += 1
    if (!isOver) video.requestVideoFrameCallback(next)
  }
  video.requestVideoFrameCallback(next)
  return () => {
    isOver = true
    return Math.round((count * 10_000) / (performance.now() - start)) / 10
  }
}

function median(values: readonly number[]): number {
  return values.toSorted((a, b) => a - b)[Math.floor(values.length / 2)] ?? 0
}
