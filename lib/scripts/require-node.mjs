/** First step of every script: an older Node would fail later, and less clearly. */
const NEEDED = 24

if (Number(process.versions.node.split('.')[0]) < NEEDED) {
  console.error(
    `Farstep needs Node ${NEEDED} or later; this is ${process.version}. ` +
      'Run `npm ci` once (it brings its own), then start scripts through `npm run …`.',
  )
  process.exit(1)
}
