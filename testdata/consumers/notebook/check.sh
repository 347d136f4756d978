#!/bin/sh
# check.sh SOAKLEDGER: sweeps the example notebook's study, asks the queries of
# ../parquet/queries of DuckDB, Polars and hyparquet, and runs the README's snippets
# and the notebook. Installs Debian's nbconvert, ipykernel, pandas and matplotlib with
# apt-get when they are missing.
set -eu
program=$(realpath "${1:?usage: check.sh SOAKLEDGER}")
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../../.." && pwd)
notebooks=$root/testdata/notebooks
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

if ! /usr/bin/python3 -c 'import ipykernel, matplotlib, nbconvert, pandas' 2>/dev/null; then
	sudo=
	[ "$(id -u)" -eq 0 ] || sudo=sudo
	$sudo apt-get update -q
	$sudo apt-get -o DPkg::Lock::Timeout=300 install -y -q --no-install-recommends jupyter-nbconvert python3-ipykernel python3-pandas python3-matplotlib
fi

mkdir "$work/bin"
cp "$program" "$work/bin/soakledger"
cp "$notebooks/thickness_and_speed.yaml" "$work"
cd "$work"
PATH=$work/bin:$PATH
export PATH
soakledger sweep thickness_and_speed.yaml --out thickness_and_speed --traces all --quiet
sh "$here/../parquet/check.sh" thickness_and_speed
node "$here/../parquet/queries.mjs" .
node "$here/polars.mjs" "$root/README.md" .
PYTHONPATH=$here PYTHONDONTWRITEBYTECODE=1 PYDEVD_DISABLE_FILE_VALIDATION=1 \
	/usr/bin/python3 "$here/check.py" "$root/README.md" "$notebooks/soak_by_thickness_and_speed.ipynb"
