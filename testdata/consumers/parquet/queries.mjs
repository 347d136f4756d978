// queries.mjs FOLDER: answers the questions of queries/*.sql about the dataset
// thickness_and_speed in FOLDER three times: the text as it is with DuckDB and with
// Polars, and from the rows that hyparquet reads with plain JavaScript. The three
// must agree, and the answers with what the dataset says elsewhere. The answer to
// soak.sql goes to soak.json in FOLDER, for the notebook's check.
import { readFileSync, readdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { DuckDBInstance } from '@duckdb/node-api'
import { asyncBufferFromFile, parquetReadObjects } from 'hyparquet'
import { compressors } from 'hyparquet-compressors'
import pl from 'nodejs-polars'

const failures = []
const check = (ok, text) => { if (!ok) failures.push(text) }
const folder = process.argv[2]
if (!folder) {
  console.error('usage: node queries.mjs FOLDER')
  process.exit(2)
}
const text = (name) => readFileSync(new URL(`queries/${name}.sql`, import.meta.url), 'utf8')
const soakText = text('soak'), behindText = text('behind') // before the folder changes
process.chdir(folder)

const connection = await (await DuckDBInstance.create()).connect()
const runs = await rowsOf('runs'), phases = await rowsOf('phases'), traces = await rowsOf('traces')
const byRun = new Map(runs.map((r) => [r.run_id, r]))
await checkCounts()

const soak = await ask('soak', soakText, runs
  .filter((r) => r.status === 'done')
  .map((r) => ({ thickness_mm: r.thickness_mm, fans_rpm: r.fans_rpm, soak_min: r.to_within_0_5_k_s === null ? null : r.to_within_0_5_k_s / 60, rise_k: r.rise_k }))
  .sort(by('thickness_mm', 'fans_rpm')))
const behind = await ask('behind', behindText, traces
  .filter((t) => byRun.get(t.run_id).status === 'done' && [300, 600, 1200].includes(t.time_s))
  .map((t) => ({ thickness_mm: byRun.get(t.run_id).thickness_mm, fans_rpm: byRun.get(t.run_id).fans_rpm, minutes: t.time_s / 60, behind_k: byRun.get(t.run_id).level_c - t.coolant_c }))
  .sort(by('thickness_mm', 'fans_rpm', 'minutes')))
checkSoak()
checkBehind()
writeFileSync('soak.json', JSON.stringify(soak))

for (const t of failures) console.error(`FAILED ${t}`)
console.log(failures.length === 0 ? 'three readers give the same answers' : `${failures.length} checks failed`)
process.exit(failures.length === 0 ? 0 : 1)

function by(...names) {
  return (a, b) => names.map((n) => a[n] - b[n]).find((d) => d !== 0) ?? 0
}

// rowsOf reads a table with hyparquet.
async function rowsOf(table) {
  const rows = []
  for (const part of readdirSync(join('thickness_and_speed', table)).sort()) {
    const file = await asyncBufferFromFile(join('thickness_and_speed', table, part))
    for (const row of await parquetReadObjects({ file, compressors })) rows.push(row)
  }
  return rows.map((row) => Object.fromEntries(Object.entries(row).map(([k, v]) => [k, v === undefined ? null : typeof v === 'bigint' ? Number(v) : v])))
}

// ask puts one question to DuckDB and Polars and compares their rows with those
// worked out from hyparquet's.
async function ask(name, sql, plain) {
  const duck = (await connection.runAndReadAll(sql)).getRowObjectsJS()
  const polars = (await new pl.SQLContext({}).execute(sql, { eager: true })).toRecords()
  for (const [reader, rows] of [['DuckDB', duck], ['Polars', polars]]) {
    check(rows.length === plain.length, `${name}: ${rows.length} rows from ${reader}, ${plain.length} from hyparquet`)
    check(Object.keys(rows[0] ?? {}).join() === Object.keys(plain[0] ?? {}).join(), `${name}: ${reader} gives the columns ${Object.keys(rows[0] ?? {})}`)
    const i = plain.findIndex((row, i) => Object.keys(row).some((k) => !same(rows[i]?.[k], row[k])))
    check(i < 0, `${name}, row ${i}: ${reader} ${JSON.stringify(rows[i])}, hyparquet ${JSON.stringify(plain[i])}`)
  }
  console.log(`${name}: ${plain.length} rows`)
  return plain
}

// same allows a number that was divided one rounding more: Polars multiplies by the
// reciprocal. What is stored is compared bit by bit by check.mjs.
function same(got, want) {
  return got === want || typeof got === 'number' && typeof want === 'number' && Math.abs(got - want) <= Number.EPSILON * Math.abs(want)
}

// checkCounts: how many rows each table has follows from the study: four
// thicknesses by three speeds, a warming and a cooling phase, a row a second.
async function checkCounts() {
  const manifest = JSON.parse(readFileSync('thickness_and_speed/manifest.json', 'utf8'))
  const want = { runs: 12, phases: 24, events: 0, traces: 12 * (45 * 60 + 1) }
  for (const [table, n] of Object.entries(want)) {
    const glob = `thickness_and_speed/${table}/*.parquet`
    const [row] = (await connection.runAndReadAll(`SELECT count(*) AS n FROM '${glob}'`)).getRowObjectsJS()
    const polars = pl.scanParquet(glob).collectSync().height
    const said = manifest.tables.find((t) => t.name === table).parts.reduce((sum, p) => sum + p.rows, 0)
    check(Number(row.n) === n && polars === n && said === n, `${table}: ${row.n} rows by DuckDB, ${polars} by Polars, ${said} by the manifest, want ${n}`)
  }
  check(runs.length === want.runs && phases.length === want.phases && traces.length === want.traces, 'hyparquet sees another number of rows')
}

// checkSoak: every pair is there once; a time without value is said to be missing;
// a time with one is that at which the trace is seen to enter the band for good.
function checkSoak() {
  check(new Set(soak.map((r) => `${r.thickness_mm} ${r.fans_rpm}`)).size === 12, 'soak: not every pair of thickness and speed')
  check(soak.some((r) => r.soak_min === null), 'soak: no design is too slow for its load, so nulls are not tried')
  check(soak.some((r) => r.soak_min !== null), 'soak: nothing but nulls')
  for (const r of runs) {
    const none = (r.missing ?? '').includes('to_within_0_5_k_s:')
    check((r.to_within_0_5_k_s === null) === none, `run ${r.run_id}: to_within_0_5_k_s is ${r.to_within_0_5_k_s}, missing says ${r.missing}`)
    const load = traces.filter((t) => t.run_id === r.run_id && t.time_s < 25 * 60)
    const outside = load.filter((t) => Math.abs(r.level_c - t.coolant_c) > 0.5).length // from 0 s on, a row a second
    if (none) check(outside === load.length, `run ${r.run_id} is within the band at the end of the load and has no time for it`)
    else check(outside - 1 <= r.to_within_0_5_k_s && r.to_within_0_5_k_s <= outside, `run ${r.run_id} stays within 0.5 K after ${r.to_within_0_5_k_s} s, by its trace from ${outside} s on`)
  }
}

// checkBehind: after ten minutes the coolant is as far behind its level as the
// figure of a ten-minute test says, but for the rounding of the trace.
function checkBehind() {
  check(behind.length === 36, `behind: ${behind.length} rows, want 36`)
  for (const b of behind.filter((b) => b.minutes === 10)) {
    const run = runs.find((r) => r.thickness_mm === b.thickness_mm && r.fans_rpm === b.fans_rpm)
    check(Math.abs(run.shortfall_10_min_k - b.behind_k) < 2 ** -14, `run ${run.run_id}: ${b.behind_k} K behind by its trace, ${run.shortfall_10_min_k} K by its figures`)
  }
}
