// check.mjs DIR: reads every table of a dataset with three readers that share no
// code with the writer, DuckDB, Polars and hyparquet, and compares them with each
// other and with manifest.json. It prints one line a check that failed and exits 1,
// or one line a table and exits 0.
import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { DuckDBInstance } from '@duckdb/node-api'
import { asyncBufferFromFile, parquetMetadataAsync, parquetRead } from 'hyparquet'
import { compressors } from 'hyparquet-compressors'
import pl from 'nodejs-polars'

const failures = []
const check = (ok, text) => { if (!ok) failures.push(text) }
const quote = (text) => `'${text.replaceAll("'", "''")}'`
const name = (column) => `"${column.name}"`
const near = (a, b, scale) => Math.abs(a - b) <= 1e-9 * Math.max(1, scale)

const dir = process.argv[2]
if (!dir) {
  console.error('usage: node check.mjs DIR')
  process.exit(2)
}
const manifest = JSON.parse(readFileSync(join(dir, 'manifest.json'), 'utf8'))
const connection = await (await DuckDBInstance.create()).connect()
const query = async (sql) => (await connection.runAndReadAll(sql)).getRowObjectsJS()

const tables = new Map()
for (const table of manifest.tables) {
  if (table.parts.length === 0) continue
  const entry = await load(table)
  tables.set(table.name, entry)
  await checkTypes(entry)
  await checkMetadata(entry)
  checkPolars(entry)
  for (const column of table.columns) await checkColumn(entry, column)
  console.log(`${table.name}: ${table.columns.length} columns, ${entry.rows} rows, ${table.parts.length} parts`)
}
if (tables.has('traces')) await checkTraces(tables.get('traces'))
if (tables.has('traces') && tables.has('runs')) await checkPeaks(tables.get('runs'), tables.get('traces'))
check(tables.size > 0, 'the dataset has no table with parts')

for (const text of failures) console.error(`FAILED ${text}`)
console.log(failures.length === 0 ? 'all readers agree' : `${failures.length} checks failed`)
process.exit(failures.length === 0 ? 0 : 1)

// load reads all columns with hyparquet, part by part, and prepares the DuckDB
// view of the table by the glob that users are told to use.
async function load(table) {
  const columns = new Map(table.columns.map((c) => [c.name, []]))
  const footers = []
  let rows = 0
  for (const part of table.parts) {
    const file = await asyncBufferFromFile(join(dir, part.file))
    check(file.byteLength === part.bytes, `${part.file} has ${file.byteLength} bytes, the manifest says ${part.bytes}`)
    const footer = await parquetMetadataAsync(file)
    footers.push(footer)
    check(Number(footer.num_rows) === part.rows, `hyparquet sees ${footer.num_rows} rows in ${part.file}, the manifest says ${part.rows}`)
    rows += part.rows
    await parquetRead({ file, metadata: footer, compressors, onComplete: (read) => {
      for (const row of read) table.columns.forEach((c, i) => columns.get(c.name).push(plain(row[i])))
    } })
  }
  const view = `read_parquet(${quote(join(dir, table.name, '*.parquet'))}, file_row_number = true, filename = true)`
  const [{ n }] = await query(`SELECT count(*) AS n FROM ${view}`)
  check(Number(n) === rows, `DuckDB sees ${n} rows in ${table.name}, the manifest says ${rows}`)
  return { table, columns, footers, rows, view }
}

function plain(value) {
  if (value === undefined) return null
  return typeof value === 'bigint' ? Number(value) : value
}

async function checkTypes({ table, footers }) {
  const types = { float: ['DOUBLE'], int: ['BIGINT', 'INTEGER'], text: ['VARCHAR'], flag: ['BOOLEAN'] }
  const glob = quote(join(dir, table.name, '*.parquet'))
  const seen = await query(`DESCRIBE SELECT * FROM read_parquet(${glob})`)
  check(seen.map((c) => c.column_name).join() === table.columns.map((c) => c.name).join(), `${table.name}: DuckDB sees the columns ${seen.map((c) => c.column_name)}`)
  seen.forEach((c, i) => {
    const want = types[table.columns[i].kind]
    check(want.includes(c.column_type), `${table.name}.${c.column_name} is ${c.column_type} for DuckDB, want ${want.join(' or ')}`)
  })
  for (const footer of footers) {
    table.columns.forEach((c, i) => {
      const element = footer.schema[i + 1]
      check(element.name === c.name, `${table.name}: hyparquet sees ${element.name} instead of ${c.name}`)
      const want = c.nullable ? 'OPTIONAL' : 'REQUIRED'
      check(element.repetition_type === want, `${table.name}.${c.name} is ${element.repetition_type}, want ${want}`)
    })
  }
  const chunks = await query(`SELECT path_in_schema AS path, type, encodings, compression FROM parquet_metadata(${glob})`)
  for (const chunk of chunks) {
    check(chunk.compression === 'ZSTD', `${table.name}.${chunk.path} is compressed with ${chunk.compression}`)
    if (chunk.type === 'DOUBLE') check(chunk.encodings.includes('BYTE_STREAM_SPLIT'), `${table.name}.${chunk.path} is encoded ${chunk.encodings}`)
  }
}

// checkPolars compares every value, null or not, that Polars reads with hyparquet's.
function checkPolars({ table, columns, rows }) {
  const types = { float: ['Float64'], int: ['Int64', 'Int32'], text: ['String', 'Utf8', 'Categorical'], flag: ['Bool'] }
  const frame = pl.scanParquet(join(dir, table.name, '*.parquet')).collectSync()
  check(frame.columns.join() === table.columns.map((c) => c.name).join(), `${table.name}: Polars sees the columns ${frame.columns}`)
  check(frame.height === rows, `Polars sees ${frame.height} rows in ${table.name}, hyparquet ${rows}`)
  for (const c of table.columns) {
    const series = frame.getColumn(c.name)
    check(types[c.kind].includes(series.dtype.variant), `${table.name}.${c.name} is ${series.dtype.variant} for Polars, want ${types[c.kind].join(' or ')}`)
    const want = columns.get(c.name)
    const nulls = want.filter((v) => v === null).length
    check(series.nullCount() === nulls, `${table.name}.${c.name}: Polars counts ${series.nullCount()} nulls, hyparquet ${nulls}`)
    const differs = series.toArray().findIndex((v, i) => plain(v) !== want[i])
    check(differs < 0, `${table.name}.${c.name}, row ${differs}: Polars and hyparquet read different values`)
  }
}

async function checkMetadata({ table, footers }) {
  const pairs = await query(`SELECT file_name, decode(key) AS key, decode(value) AS value FROM parquet_kv_metadata(${quote(join(dir, table.name, '*.parquet'))})`)
  for (const part of table.parts) {
    const own = new Map(pairs.filter((p) => p.file_name.endsWith(part.file)).map((p) => [p.key, p.value]))
    check(own.get('soakledger:scenario_hash') === manifest.scenario_hash, `${part.file}: scenario hash ${own.get('soakledger:scenario_hash')}`)
    check(own.get('soakledger:scenario') === manifest.scenario, `${part.file}: another scenario text than in the manifest`)
    check(own.get('soakledger:engine_version') === manifest.engine_version, `${part.file}: engine version ${own.get('soakledger:engine_version')}`)
    checkNotes(part.file, table, own)
  }
  footers.forEach((footer, i) => {
    checkNotes(`${table.parts[i].file} by hyparquet`, table, new Map(footer.key_value_metadata.map((p) => [p.key, p.value])))
  })
}

function checkNotes(where, table, pairs) {
  const notes = JSON.parse(pairs.get('soakledger:columns') ?? '{}')
  const attrs = JSON.parse(pairs.get('PANDAS_ATTRS') ?? '{}')
  for (const c of table.columns) {
    const note = notes[c.name] ?? {}
    check(note.unit === c.unit && note.meaning === c.meaning && note.grid === c.grid, `${where}: ${c.name} is described as ${JSON.stringify(note)}`)
    check(attrs.units?.[c.name] === c.unit, `${where}: PANDAS_ATTRS gives ${c.name} the unit ${attrs.units?.[c.name]}`)
  }
}

// checkColumn compares counts, extremes, sums and a filtered count of the two
// readers. The filter lets DuckDB skip row groups by their statistics.
async function checkColumn(entry, c) {
  const where = `${entry.table.name}.${c.name}`
  const present = entry.columns.get(c.name).filter((v) => v !== null)
  const [duck] = await query(`SELECT count(${name(c)}) AS n FROM ${entry.view}`)
  check(Number(duck.n) === present.length, `${where}: DuckDB counts ${duck.n} values, hyparquet ${present.length}`)
  check(c.nullable || present.length === entry.rows, `${where} has ${entry.rows - present.length} nulls and is not nullable`)
  if (present.length === 0) return
  if (c.kind === 'text' || c.kind === 'flag') return checkWords(entry, c, present)
  const bad = present.filter((v) => !Number.isFinite(v)).length
  check(bad === 0, `${where}: hyparquet reads ${bad} values that are not finite`)
  if (c.kind === 'float') {
    const [{ n }] = await query(`SELECT count(*) AS n FROM ${entry.view} WHERE isnan(${name(c)}) OR isinf(${name(c)})`)
    check(Number(n) === 0, `${where}: DuckDB reads ${n} values that are not finite`)
  }
  await checkNumbers(entry, c, present, where)
}

async function checkNumbers(entry, c, present, where) {
  let low = Infinity, high = -Infinity, sum = 0, size = 0, offGrid = 0
  for (const v of present) {
    low = Math.min(low, v)
    high = Math.max(high, v)
    sum += v
    size += Math.abs(v)
    if (c.grid > 0 && Math.abs(v) < c.grid * 2 ** 52 && !Number.isInteger(v / c.grid)) offGrid++
  }
  check(offGrid === 0, `${where}: ${offGrid} values are not on the grid of ${c.grid}`)
  const [duck] = await query(`SELECT min(${name(c)})::DOUBLE AS low, max(${name(c)})::DOUBLE AS high, fsum(${name(c)}::DOUBLE) AS sum FROM ${entry.view}`)
  check(duck.low === low && duck.high === high, `${where}: DuckDB finds ${duck.low} to ${duck.high}, hyparquet ${low} to ${high}`)
  check(near(duck.sum, sum, size), `${where}: DuckDB sums to ${duck.sum}, hyparquet to ${sum}`)
  const middle = (low + high) / 2
  const [{ n }] = await query(`SELECT count(*) AS n FROM ${entry.view} WHERE ${name(c)} > '${middle}'::DOUBLE`) // a bare literal would be a decimal, rounded
  const expected = present.filter((v) => v > middle).length
  check(Number(n) === expected, `${where}: DuckDB finds ${n} values above ${middle}, hyparquet ${expected}`)
}

async function checkWords(entry, c, present) {
  const counts = new Map()
  for (const v of present) counts.set(String(v), (counts.get(String(v)) ?? 0) + 1)
  const duck = await query(`SELECT ${name(c)}::VARCHAR AS word, count(*) AS n FROM ${entry.view} WHERE ${name(c)} IS NOT NULL GROUP BY ALL`)
  check(duck.length === counts.size && duck.every((r) => counts.get(r.word) === Number(r.n)), `${entry.table.name}.${c.name}: the readers count different words`)
}

// checkTraces: runs rise, time rises within a run, energy in never falls and
// begins at zero, and what came in is what went out plus what is stored.
async function checkTraces(traces) {
  const run = traces.columns.get('run_id'), time = traces.columns.get('time_s')
  check(run && time, 'traces has no run_id or no time_s')
  if (!run || !time) return
  for (let i = 1; i < run.length; i++) {
    if (run[i] > run[i - 1] || (run[i] === run[i - 1] && time[i] > time[i - 1])) continue
    check(false, `traces, row ${i}: run ${run[i]} at ${time[i]} s comes after run ${run[i - 1]} at ${time[i - 1]} s`)
    return
  }
  const [{ n }] = await query(`SELECT count(*) AS n FROM (SELECT time_s <= lag(time_s) OVER (PARTITION BY run_id ORDER BY filename, file_row_number) AS back FROM ${traces.view}) WHERE back`)
  check(Number(n) === 0, `traces: DuckDB sees time stand still or run back ${n} times`)
  checkEnergy(traces, run)
}

function checkEnergy(traces, run) {
  const energy = traces.columns.get('energy_in_j'), heat = traces.columns.get('heat_out_j'), stored = traces.columns.get('stored_j')
  const grid = (column) => traces.table.columns.find((c) => c.name === column)?.grid ?? 0
  if (!energy) return
  for (let i = 0; i < run.length; i++) {
    const first = i === 0 || run[i] !== run[i - 1]
    const ok = first ? Math.abs(energy[i]) <= grid('energy_in_j') : energy[i] >= energy[i - 1]
    check(ok, `traces, row ${i}: energy_in_j is ${energy[i]} J at the ${first ? 'start' : 'middle'} of run ${run[i]}`)
    if (!ok) return
    if (!heat || !stored) continue
    const gap = Math.abs(energy[i] - heat[i] - stored[i])
    const allowed = grid('energy_in_j') + grid('heat_out_j') + grid('stored_j') + 1e-6 * Math.abs(energy[i])
    check(gap <= allowed, `traces, row ${i}: energy in, heat out and stored energy of run ${run[i]} differ by ${gap} J`)
    if (gap > allowed) return
  }
}

// checkPeaks: every traced run has its row, and its peak, computed before
// sampling and rounding, is not below the highest sample.
async function checkPeaks(runs, traces) {
  const rows = new Map(runs.columns.get('run_id').map((id, i) => [id, i]))
  const ids = [...new Set(traces.columns.get('run_id'))]
  check(ids.every((id) => rows.has(id)), 'a run in traces is not in runs')
  const column = runs.table.columns.map((c) => c.name).find((c) => /^(coolant_peak_c|peak_coolant_c|coolant_max_c)$/.test(c))
  const coolant = traces.table.columns.find((c) => c.name === 'coolant_c')
  if (!column || !coolant) return
  const highest = await query(`SELECT run_id AS id, max(coolant_c) AS high FROM ${traces.view} GROUP BY run_id`)
  for (const { id, high } of highest) {
    const peak = runs.columns.get(column)[rows.get(Number(id))]
    if (peak === null || peak === undefined) continue
    check(peak >= high - coolant.grid / 2 - 1e-9, `run ${id}: ${column} is ${peak}, below the highest sample ${high}`)
    check(peak <= high + 0.5, `run ${id}: ${column} is ${peak}, far above the highest sample ${high}`)
  }
}
