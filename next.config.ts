import type { NextConfig } from 'next'

/** Headers that are the same on every answer. Those that differ by request are in `proxy.ts`. */
const HEADERS = [
  // OWASP ASVS 5.0: 3.4.1 (at least a year, with subdomains), 3.4.4, 3.4.8. Browsers heed the first on https only.
  { key: 'Strict-Transport-Security', value: 'max-age=31536000; includeSubDomains' },
  { key: 'X-Content-Type-Options', value: 'nosniff' },
  { key: 'Cross-Origin-Opener-Policy', value: 'same-origin' },
  { key: 'Cross-Origin-Resource-Policy', value: 'same-origin' },
  { key: 'Permissions-Policy', value: 'camera=(self), microphone=(), geolocation=(), payment=(), usb=()' },
]

const config: NextConfig = {
  poweredByHeader: false,
  reactStrictMode: true,
  // They load files beside themselves, or natives, which a bundle would lose.
  serverExternalPackages: [
    '@electric-sql/pglite',
    '@node-rs/argon2',
    'fontkit',
    'highs',
    'pdfkit',
    'pg',
    'pg-boss',
    'postgres',
  ],
  // `npm run typecheck` does it, once, over the tests as well.
  typescript: { ignoreBuildErrors: true },
  // A browser asks for an icon by this address where the page has not named one yet, or is no page.
  rewrites: async () => [{ source: '/favicon.ico', destination: '/icon.svg' }],
  headers: async () => [{ source: '/:path*', headers: HEADERS }],
}

export default config
