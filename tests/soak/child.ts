/** Node processes of our own, and what they say line by line. */
import { type ChildProcess, spawn } from 'node:child_process'

/** Starts a TypeScript file in a process of its own. */
export function startChild(file: string, args: readonly string[]): ChildProcess {
  return spawn(process.execPath, ['--import', 'tsx', file, ...args], { stdio: ['pipe', 'pipe', 'inherit'] })
}

/** The lines that a process writes, until it ends. */
export async function* linesOf({ stdout }: ChildProcess): AsyncGenerator<string, undefined> {
  let text = ''
  for await (const chunk of stdout ?? []) {
    text += String(chunk)
    for (let end = text.indexOf('\n'); end >= 0; end = text.indexOf('\n')) {
      yield text.slice(0, end)
      text = text.slice(end + 1)
    }
  }
  return undefined
}
