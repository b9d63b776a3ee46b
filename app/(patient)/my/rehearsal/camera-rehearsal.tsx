'use client'

/**
 * The patient's own camera, with lines for what must be in view, measured when they ask for it. The picture stays in this
 * browser; the numbers go to the clinic. Whatever fails, the way on is open.
 */
import { useEffect, useRef, useState } from 'react'
import { Actions, Button } from '#app/_ui/button.tsx'
import { RadioGroup } from '#app/_ui/radio-group.tsx'
import { ADVICE, type Advice, adviceFor } from '#lib/domain/rehearsal/advice.ts'
import { CameraGuide, type Guide } from './camera-guide.tsx'
import { measureLine } from './measure-line.ts'
import { measurePicture } from './measure-picture.ts'
import styles from './rehearsal.module.css'

export type RehearsalWords = {
  which: string
  start: string
  starting: string
  other: string
  stop: string
  check: string
  checking: string
  picture: string
  good: string
  mend: string
  saved: string
  notSaved: string
  again: string
  denied: string
  missing: string
  failed: string
  advice: Record<Advice, string>
}

type Props = {
  setUps: readonly Guide[]
  words: RehearsalWords
  keep: (key: string, readings: unknown) => Promise<boolean>
}

type Problem = 'denied' | 'missing' | 'failed'
type Stage = 'off' | 'starting' | 'on' | 'checking'
type Found = { advice: Advice[]; isSaved: boolean }

export function CameraRehearsal({ setUps, words, keep }: Props) {
  const [setUpId, setSetUpId] = useState(setUps[0]?.id ?? '')
  const [stage, setStage] = useState<Stage>('off')
  const [problem, setProblem] = useState<Problem | null>(null)
  const [found, setFound] = useState<Found | null>(null)
  const [facing, setFacing] = useState<'user' | 'environment'>('user')
  const video = useRef<HTMLVideoElement>(null)
  const setUp = setUps.find(({ id }) => id === setUpId)

  // Without a script nothing here would do anything, so it is only there with one. A page that is left turns the camera off.
  const [isThere, setIsThere] = useState(false)
  useEffect(() => {
    setIsThere(true)
    const held = video
    return () => turnOff(held.current)
  }, [])

  async function turnOn(which: typeof facing) {
    setProblem(null)
    setFound(null)
    setStage('starting')
    setFacing(which)
    turnOff(video.current)
    try {
      const size = { width: { ideal: 1280 }, height: { ideal: 720 } }
      const stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: which, ...size } })
      if (!video.current) return
      video.current.srcObject = stream
      await video.current.play()
      setStage('on')
    } catch (error) {
      setStage('off')
      setProblem(problemOf(error))
    }
  }

  async function check() {
    // Buttons are never disabled; a second press while it looks asks for nothing new.
    if (!video.current || !setUp || stage === 'checking') return
    setFound(null)
    setStage('checking')
    try {
      const picture = await measurePicture(video.current)
      const readings = { setUpId, ...picture, line: await measureLine() }
      const isSaved = await keep(crypto.randomUUID(), readings).catch(() => false)
      setFound({ advice: adviceFor(readings, setUp.orientation), isSaved })
    } catch {
      setProblem('failed')
    }
    setStage('on')
  }

  function end() {
    turnOff(video.current)
    setStage('off')
  }

  const isOn = stage === 'on' || stage === 'checking'
  if (!isThere) return null
  return (
    <div className={styles.rehearsal}>
      {setUps.length > 1 && (
        // Names of set-ups are long: a list that opens would cut them off on a small screen.
        <div
          onChange={({ target }) => {
            if (target instanceof HTMLInputElement) setSetUpId(target.value)
            setFound(null)
          }}
        >
          <RadioGroup
            name="setUp"
            label={words.which}
            options={setUps.map(({ id, title }) => ({ value: id, label: title }))}
            value={setUps[0]?.id}
          />
        </div>
      )}
      {setUp && <p>{setUp.instructions}</p>}
      <div className={styles.picture} data-orientation={setUp?.orientation} hidden={!isOn}>
        <video ref={video} playsInline muted aria-label={words.picture} />
        {setUp && <CameraGuide guide={setUp} />}
      </div>
      <div role="status">
        {stage === 'starting' && <p>{words.starting}</p>}
        {stage === 'checking' && <p>{words.checking}</p>}
        {problem && <p>{words[problem]}</p>}
        {found && <Result found={found} words={words} />}
      </div>
      <Actions>
        {isOn ? (
          <>
            <Button type="button" onClick={check}>
              {words.check}
            </Button>
            <Button type="button" look="plain" onClick={() => turnOn(facing === 'user' ? 'environment' : 'user')}>
              {words.other}
            </Button>
            <Button type="button" look="plain" onClick={end}>
              {words.stop}
            </Button>
          </>
        ) : (
          <Button type="button" onClick={() => turnOn(facing)}>
            {words.start}
          </Button>
        )}
      </Actions>
    </div>
  )
}

function Result({ found: { advice, isSaved }, words }: { found: Found; words: RehearsalWords }) {
  return (
    <>
      <p className={styles.verdict}>{advice.length === 0 ? words.good : words.mend}</p>
      {advice.length > 0 && (
        <>
          <ul>
            {ADVICE.filter((each) => advice.includes(each)).map((each) => (
              <li key={each}>{words.advice[each]}</li>
            ))}
          </ul>
          <p>{words.again}</p>
        </>
      )}
      <p>{isSaved ? words.saved : words.notSaved}</p>
    </>
  )
}

function turnOff(video: HTMLVideoElement | null): void {
  if (!(video?.srcObject instanceof MediaStream)) return
  for (const track of video.srcObject.getTracks()) track.stop()
  video.srcObject = null
}

/** Media Capture and Streams, 10.2 (`getUserMedia`): what each refusal is called. */
function problemOf(error: unknown): Problem {
  const name = error instanceof Error ? error.name : ''
  if (name === 'NotAllowedError' || name === 'SecurityError') return 'denied'
  // Without a secure address or an old browser there is no such thing as a camera.
  if (name === 'NotFoundError' || name === 'OverconstrainedError' || !navigator.mediaDevices) return 'missing'
  return 'failed'
}
