#!/bin/sh
# Compare the engine's coolant and air properties with two independent
# implementations. Needs Go, Node and Debian's /usr/bin/python3; installs
# python3-iapws with apt-get when it is missing, and the npm package of
# package-lock.json into a temporary folder. Exits non-zero on any excess.
set -eu

here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../../.." && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

if ! /usr/bin/python3 -c 'import iapws' 2>/dev/null; then
	sudo=
	[ "$(id -u)" -eq 0 ] || sudo=sudo
	$sudo apt-get update -q
	$sudo apt-get install -y -q --no-install-recommends python3-iapws
fi

cp "$here/package.json" "$here/package-lock.json" "$here/moist_air.mjs" "$work"
(cd "$work" && npm ci --no-audit --no-fund --ignore-scripts)

(cd "$root" && go test ./sim/fluid -count=1 -run '^TestDump$' -dump "$work/rows.json")

status=0
/usr/bin/python3 "$here/fluids.py" "$work/rows.json" || status=1
node "$work/moist_air.mjs" "$work/rows.json" || status=1
exit $status
