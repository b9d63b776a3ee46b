/** The tray on the disk of this installation. */
import { trayPort } from '#lib/adapters/mail.ts'
import { settings } from '#lib/adapters/settings.ts'

export const mailTray = () => trayPort(settings())
