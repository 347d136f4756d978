#!/bin/sh
# check.sh DIR: reads the dataset in DIR with DuckDB, Polars and hyparquet, see check.mjs.
set -eu
dir=$(cd "${1:?usage: check.sh DIR}" && pwd)
cd "$(dirname "$0")"
npm ci --no-audit --no-fund --silent
node check.mjs "$dir"
