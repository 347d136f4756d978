#!/bin/sh
# check.sh SOAKLEDGER: reads cmd/soakledger/deploy/kubernetes.yaml strictly with the
# types of the Kubernetes API, and runs the program as its pods would.
set -eu
program=$(realpath "${1:?usage: check.sh SOAKLEDGER}")
cd "$(dirname "$0")"
go mod verify
unformatted=$(gofmt -l .)
[ -z "$unformatted" ] || { echo "not gofmt'ed: $unformatted"; exit 1; }
go vet ./...
go test -count=1 ./... -args -soakledger "$program"
