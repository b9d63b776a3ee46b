'use server'

import { redirect } from 'next/navigation'
import { type StaffCtx, signedInStaff, staffContext } from '#app/_server/staff-page.ts'
import { type FormError, type FormState, refuse } from '#app/_ui/form-state.ts'
import { changeHolidays, changeHolidaysInput } from '#lib/usecases/change-holidays.ts'
import { readHolidays } from '#lib/usecases/read-clinic-setup.ts'
import { answerShared } from '../answer.ts'
import { dateIn, marksIn, textIn } from '../read-form.ts'

type Day = { onDate: string; name: string }

/** Puts one day on the list. */
export async function addHoliday(year: number, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('place.write')
  const day = readDay(form)
  if (day.errors.length > 0) return refuse(previous, form, day.errors)
  return write(ctx, { off: [], on: [day.value] }, 'added', year, 'onDate', previous, form)
}

/** Gives a day another name or date. */
export async function changeHoliday(
  year: number,
  before: Day,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('place.write')
  const day = readDay(form)
  if (day.errors.length > 0) return refuse(previous, form, day.errors)
  return write(ctx, { off: [before], on: [day.value] }, 'saved', year, 'onDate', previous, form)
}

/** Takes a day off the list. */
export async function takeOff(year: number, day: Day, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('place.write')
  return write(ctx, { off: [day], on: [] }, 'off', year, 'off', previous, form)
}

/** Puts the chosen federal holidays on the list. */
export async function addFederal(year: number, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('place.write')
  const offered = await readHolidays(ctx, { year })
  const chosen = form.getAll('days').map(String)
  const on = offered.ok ? offered.value.offered.filter(({ onDate }) => chosen.includes(onDate)) : []
  if (on.length === 0) return refuse(previous, form, [{ field: 'days', message: 'Choose at least one day' }])
  return write(ctx, { off: [], on }, 'added', year, 'days', previous, form)
}

function readDay(form: FormData): { value: Day; errors: FormError[] } {
  const value = { name: textIn(form, 'name'), onDate: dateIn(form, 'onDate') }
  const errors: FormError[] = []
  if (value.name === '') errors.push({ field: 'name', message: 'Enter its name' })
  if (value.name.length > 120) errors.push({ field: 'name', message: 'This name is too long' })
  if (value.onDate === '') errors.push({ field: 'onDate', message: 'Enter the date' })
  else if (value.onDate === 'no date')
    errors.push({ field: 'onDate', message: 'Enter a day, a month and a year that make a date' })
  return { value, errors }
}

async function write(
  ctx: StaffCtx,
  change: { off: Day[]; on: Day[] },
  done: string,
  year: number,
  field: string,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const { timeZone } = (await signedInStaff()).clinic
  const input = changeHolidaysInput.safeParse({
    ...change,
    key: textIn(form, 'commandKey'),
    isDryRun: false,
    confirmed: marksIn(form),
  })
  if (!input.success)
    return refuse(previous, form, [{ field, message: 'This day cannot be read. Open the page again' }])
  const result = await changeHolidays(ctx, input.data)
  if (result.ok) {
    const shown = change.on[0]?.onDate.slice(0, 4) ?? year
    return redirect(`/clinic/holidays?year=${shown}&done=${done}`)
  }
  if (result.error.code === 'already_there') {
    const { name } = result.error.holiday
    return refuse(previous, form, [{ field, message: `This date is on the list already: ${name}` }])
  }
  return answerShared(previous, form, result.error, { field, timeZone })
}
