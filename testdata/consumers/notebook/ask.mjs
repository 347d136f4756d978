// ask.mjs: prints the rows that DuckDB answers to the SQL on its input, as JSON.
import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'

const { DuckDBInstance } = createRequire(new URL('../parquet/package.json', import.meta.url))('@duckdb/node-api')
const connection = await (await DuckDBInstance.create()).connect()
const rows = (await connection.runAndReadAll(readFileSync(0, 'utf8'))).getRowObjectsJS()
console.log(JSON.stringify(rows, (_, v) => typeof v === 'bigint' ? Number(v) : v))
