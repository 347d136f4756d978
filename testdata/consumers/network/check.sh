#!/bin/sh
# Integrates the networks of four shipped scenarios and of chain.yaml again with
# SciPy and compares every lump, the room and the air of every radiator at every
# stored time. Needs Go and Debian's /usr/bin/python3; installs python3-scipy
# with apt-get when it is missing. Exits non-zero if one differs by more than
# 1 mK.
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
go build -o "$work/soakledger" ./cmd/soakledger
go build -o "$work/trace" ./testdata/consumers/network
status=0
for file in scenarios/office_render.yaml scenarios/two_chips.yaml scenarios/small_case_exhaust.yaml \
	scenarios/workstation.yaml testdata/consumers/network/chain.yaml; do
	name=$(basename "$file" .yaml)
	echo "$name"
	"$work/soakledger" check --network "$file" > "$work/$name.json"
	"$work/soakledger" run "$file" --quiet --out "$work/$name"
	"$work/trace" "$work/$name" > "$work/$name.csv"
	/usr/bin/python3 "$here/integrate.py" "$work/$name.json" "$work/$name.csv" || status=1
done
exit $status
