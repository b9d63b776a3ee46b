/** Why somebody could not sign in, in words that say what to do and not who works here. */
export function refusalWords(code: string): string {
  switch (code) {
    case 'not_recognised':
      return 'The e-mail or the passphrase is not right'
    case 'too_many_tries':
      return 'Too many tries. Wait a quarter of an hour, then try again'
    case 'no_account':
      return 'Your organisation knows you, but this clinic has no account for that address. Ask your admin'
    case 'several_accounts':
      return 'That address has accounts at several clinics. Sign in with your passphrase and choose the clinic'
    default:
      return 'Signing in did not work. Try again'
  }
}
