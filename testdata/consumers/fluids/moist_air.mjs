// Compare humid air with an independent implementation of the ASHRAE Handbook,
// Fundamentals 2017, chapter 1.
//
// usage: node moist_air.mjs ROWS.json
//
// ROWS.json is written by `go test ./sim/fluid -run TestDump -dump ROWS.json`.
// Prints the largest difference of each figure and exits 1 if one is too large.
import { readFileSync } from 'node:fs'
import psychrolib from 'psychrolib'

psychrolib.SetUnitSystem(psychrolib.SI)

// The same formulas: rounding alone, but for the dew point, which the other
// implementation iterates to 0.001 K.
const checks = [
  ['saturation pressure', 1e-12, 'relative', r => [r.saturation_pa, psychrolib.GetSatVapPres(r.t_c)]],
  ['humidity ratio', 1e-12, 'relative', r => [r.humidity_ratio, psychrolib.GetHumRatioFromRelHum(r.t_c, r.relative_humidity, r.pressure_pa)]],
  ['dew point', 1e-3, 'K', r => [r.dew_point_c, psychrolib.GetTDewPointFromRelHum(r.t_c, r.relative_humidity)]],
  ['moist density', 1e-6, 'relative', r => [r.density, psychrolib.GetMoistAirDensity(r.t_c, r.humidity_ratio, r.pressure_pa)]],
]
const altitudeChecks = [
  ['pressure at altitude', 1e-12, 'relative', r => [r.pressure_pa, psychrolib.GetStandardAtmPressure(r.z_m)]],
]

// compare prints the worst difference of each figure and counts the excesses.
function compare (rows, checks) {
  let excess = 0
  for (const [name, limit, unit, pair] of checks) {
    let worst = 0
    for (const row of rows) {
      const [got, want] = pair(row)
      const difference = Math.abs(unit === 'relative' ? got / want - 1 : got - want)
      if (!(difference <= worst)) worst = difference
    }
    const good = rows.length > 0 && worst <= limit
    if (!good) excess++
    console.log(`${name.padEnd(22)} ${worst.toExponential(2)} ${unit}, allowed ${limit.toExponential(0)}, ${rows.length} rows  ${good ? 'ok' : 'TOO LARGE'}`)
  }
  return excess
}

const path = process.argv[2]
if (!path) {
  console.error('usage: node moist_air.mjs ROWS.json')
  process.exit(2)
}
const rows = JSON.parse(readFileSync(path, 'utf8'))
const excess = compare(rows.moist_air, checks) + compare(rows.altitude, altitudeChecks)
process.exit(excess ? 1 : 0)
