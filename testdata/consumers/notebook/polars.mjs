// polars.mjs README FOLDER: runs the README's snippet for Polars in FOLDER, and
// compares what it finds with soak.json. The snippet is Python, which Debian and npm
// have no Polars for; Polars' package for Node.js has the same calls in camel case.
import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'

const pl = createRequire(new URL('../parquet/package.json', import.meta.url))('nodejs-polars')
const [readme, folder] = process.argv.slice(2)
const snippet = /```python\nimport polars as pl\n([\s\S]*?)```/.exec(readFileSync(readme, 'utf8'))?.[1]
if (!snippet) throw new Error('the README has no snippet for Polars')
process.chdir(folder)
const script = snippet
  .replace(/^print\(.*\)$/m, '')
  .replace(/^soak = /m, 'return ')
  .replace(/\((pl\.col\("\w+"\)) \/ (\d+)\)/g, '$1.div($2)') // no operators on expressions
  .replace(/(pl\.col\("\w+"\)) == ("\w+")/g, '$1.eq(pl.lit($2))')
  .replace(/\.collect\(\)/, '.collectSync()')
  .replace(/(?<=\.[a-z]+)_([a-z])/g, (_, c) => c.toUpperCase())
const got = new Function('pl', script)(pl).toRecords()
const want = JSON.parse(readFileSync('soak.json', 'utf8'))
// Polars multiplies by the reciprocal where others divide, which is one rounding more.
const equal = (a, b) => a === b || a !== null && b !== null && Math.abs(a - b) <= Number.EPSILON * Math.abs(b)
const same = got.length === want.length && want.every((w, i) => Object.keys(got[i]).every((k) => equal(got[i][k], w[k])))
if (!same || Object.keys(got[0]).join() !== 'thickness_mm,fans_rpm,soak_min') {
  console.error(`FAILED Polars finds ${JSON.stringify(got)}, want ${JSON.stringify(want)}`)
  process.exit(1)
}
console.log(`README, Polars: ${got.length} rows`)
