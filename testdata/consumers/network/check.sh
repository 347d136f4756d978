#!/bin/sh
# Integrates the networks of two shipped scenarios again with SciPy and compares
# every lump at every stored time. Needs Go and Debian's /usr/bin/python3;
# installs python3-scipy with apt-get when it is missing. Exits non-zero if one
# differs by more than 1 mK.
set -eu

here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../../.." && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

if ! /usr/bin/python3 -c 'import scipy' 2>/dev/null; then
	sudo=
	[ "$(id -u)" -eq 0 ] || sudo=sudo
	$sudo apt-get update -q
	$sudo apt-get install -y -q --no-install-recommends python3-scipy
fi

cd "$root"
go test ./cmd/soakledger -count=1 -run '^TestDumpTraces$' -dump "$work"
status=0
for name in office_render two_chips; do
	echo "$name"
	go run ./cmd/soakledger check --network "scenarios/$name.yaml" > "$work/$name.json"
	/usr/bin/python3 "$here/integrate.py" "$work/$name.json" "$work/$name.csv" || status=1
done
exit $status
