/** Several tasks may be open on one page; each note has a field of its own. */
export function noteField(taskId: string): string {
  return `note-${taskId}`
}
