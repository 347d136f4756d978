#!/usr/bin/env bash
# check.sh SOAKLEDGER: runs cmd/soakledger/deploy/slurm.sbatch, as it is, on a
# Slurm of this machine alone, and compares every file of its datasets with those
# of one plain sweep. Installs slurm-wlm and munge with apt-get when
# they are missing. All that it starts has its files in a temporary folder, listens
# on free ports of its own, and is stopped at the end.
set -euo pipefail
program=$(realpath "${1:?usage: check.sh SOAKLEDGER}")
here=$(cd "$(dirname "$0")" && pwd)
batch=$(realpath "$here/../../../cmd/soakledger/deploy/slurm.sbatch")
PATH=$PATH:/usr/sbin:/sbin

if ! { command -v slurmctld && command -v slurmd && command -v munged && command -v sbatch; } >/dev/null; then
  if [ "$(id -u)" -ne 0 ] || ! command -v apt-get >/dev/null; then
    echo "FAILED: this check needs Slurm and munge. Install Debian's packages slurm-wlm and munge, or run it as root where apt-get is, which does it." >&2
    exit 1
  fi
  apt-get update -qq
  DEBIAN_FRONTEND=noninteractive apt-get -o DPkg::Lock::Timeout=300 install -y -qq --no-install-recommends slurm-wlm munge >/dev/null
fi

work=$(mktemp -d)
started=()
# stop ends the daemons that this script started, the last one first.
stop() {
  local code=$? i
  scancel --user="$(id -un)" >/dev/null 2>&1 || true
  for ((i = ${#started[@]} - 1; i >= 0; i--)); do
    kill "${started[i]}" 2>/dev/null || true
    for _ in $(seq 50); do
      kill -0 "${started[i]}" 2>/dev/null || break
      sleep 0.2
    done
    kill -KILL "${started[i]}" 2>/dev/null || true
    wait "${started[i]}" 2>/dev/null || true
  done
  rm -rf "$work"
  exit "$code"
}
trap stop EXIT
trap 'exit 130' INT TERM

# fail prints what the daemons and tasks said.
fail() {
  echo "FAILED: $*" >&2
  tail -n 15 "$work"/*.log "$work"/logs/*.log >&2 2>/dev/null || true
  exit 1
}

# within SECONDS WHAT COMMAND...: waits until the command succeeds.
within() {
  local end=$((SECONDS + $1)) what=$2
  shift 2
  until "$@" >/dev/null 2>&1; do
    [ "$SECONDS" -lt "$end" ] || fail "waited too long for $what"
    sleep 0.5
  done
}

# free_port prints a port on which nothing listens.
free_port() {
  local port
  while :; do
    port=$((20000 + RANDOM % 12000))
    (exec 3<>"/dev/tcp/127.0.0.1/$port") 2>/dev/null || { echo "$port"; return; }
  done
}

# start NAME COMMAND...: starts a daemon in the foreground of its own log.
start() {
  local name=$1
  shift
  "$@" >"$work/$name.out.log" 2>&1 &
  started+=($!)
}

start_cluster() {
  mkdir "$work/state" "$work/spool" "$work/logs"
  chmod 711 "$work"
  (umask 077 && head -c 1024 /dev/urandom >"$work/munge.key")
  start munged munged --foreground --force --num-threads=2 --key-file="$work/munge.key" --socket="$work/munge.socket" \
    --pid-file="$work/munged.pid" --seed-file="$work/munged.seed" --log-file="$work/munged.log"
  within 30 munged munge --no-input --socket="$work/munge.socket"
  export SLURM_CONF=$work/slurm.conf
  sed -e "s|FOLDER|$work|; s|HOST|$(hostname -s)|; s|USER|$(id -un)|; s|CPUS|$(nproc)|" \
    -e "s|MEMORY|$(($(awk '/MemTotal/{print $2}' /proc/meminfo) / 2048))|" \
    -e "s|CTLD_PORT|$(free_port)|; s|SLURMD_PORT|$(free_port)|" "$here/slurm.conf" >"$SLURM_CONF"
  start slurmctld slurmctld -D -f "$SLURM_CONF"
  within 60 slurmctld sinfo
  start slurmd slurmd -D -f "$SLURM_CONF" -N "$(hostname -s)"
  within 60 "the node to be idle" sh -c 'sinfo --noheader --format=%t | grep -qx idle'
}

# submit OPTIONS... -- STUDY FOLDER FLAGS...: hands the batch script in and keeps the number
# of its job. Small tasks, so that several run side by side.
submit() {
  local options=()
  while [ "$1" != -- ]; do options+=("$1"); shift; done
  shift
  job=$(SOAKLEDGER_PROGRAM=$program sbatch --parsable --cpus-per-task=1 --mem-per-cpu=200M --time=10 --output="$work/logs/%A_%a.log" \
    "${options[@]}" "$batch" "$@") || fail "sbatch refused the script"
}

# ended WANT: waits for the tasks of the job, of which WANT tells number, state and
# exit code.
ended() {
  local codes
  within 240 "job $job" sh -c "! squeue --noheader --job=$job | grep -q ."
  codes=$(scontrol show job "$job" | grep -oE 'JobState=[A-Z_]+|ExitCode=[0-9]+:[0-9]+' | sed 's/.*=//' | paste -d' ' - - | sort | uniq -c | sed 's/^ *//')
  [ "$codes" = "$1" ] || fail "the tasks of job $job ended with: $codes; want: $1"
  echo "job $job: $codes"
}

# files FOLDER: hash and name of every file of a dataset.
files() { (cd "$1" && find . -type f -not -path './.tmp/*' -print0 | sort -z | xargs -0 sha256sum); }

# same FOLDER PLAIN: the files of both datasets are equal.
same() {
  files "$1" >"$work/got"
  files "$2" >"$work/want"
  diff "$work/want" "$work/got" >&2 || fail "$1 differs from the dataset of one plain sweep"
  echo "$(basename "$1"): $(wc -l <"$work/got") files, all equal to those of one plain sweep"
}

# plain STUDY FOLDER FLAGS...: sweeps without Slurm.
plain() {
  local code=0
  "$program" sweep "$1" --out "$2" --no-traces --quiet "${@:3}" || code=$?
  [ "$code" -eq 3 ] || fail "the plain sweep ended with $code; want 3, as some designs leave the model's range"
}

start_cluster
small=$here/study.yaml large=$work/large.yaml
each=(--no-traces --part-runs 1) # the small one would be a single part
sed 's/count: 4}/count: 1200}/' "$small" >"$large"
plain "$small" "$work/plain" "${each[@]:1}"
plain "$large" "$work/plain_large"

echo "four tasks; numbers 3, 5, 7"
submit --array=0-3 -- "$small" "$work/four" "${each[@]}"
ended "4 COMPLETED 0:0"
same "$work/four" "$work/plain"
grep -q 'ended early' "$work"/logs/*.log || fail "no task told of the runs that ended early"
submit --array=3-7:2 -- "$small" "$work/stepped" "${each[@]}"
ended "3 COMPLETED 0:0"
same "$work/stepped" "$work/plain"

echo "one of four tasks missing, then all four"
submit --array=0,2,3 -- "$small" "$work/gap" "${each[@]}"
ended "3 COMPLETED 0:0"
[ "$(find "$work/gap/runs" -name '*.parquet' | wc -l)" -eq 15 ] || fail "three of four shards should be 15 of 20 parts"
submit --array=0-3 -- "$small" "$work/gap" "${each[@]}"
ended "4 COMPLETED 0:0"
same "$work/gap" "$work/plain"

echo "told to end, as before its time is over; then handed in again"
submit --array=0-0 -- "$large" "$work/told"
within 60 "a first part" sh -c "ls '$work'/told/runs/*.parquet"
scancel --signal=TERM "$job"
ended "1 FAILED 130:0"
grep -q 'submit the same command again' "$work"/logs/"$job"_*.log || fail "the task does not say how to go on"
submit --array=0-0 -- "$large" "$work/told"
ended "1 COMPLETED 0:0"
same "$work/told" "$work/plain_large"

echo "a wrong setting is no success"
submit --array=0-0 -- "$small" "$work/wrong" --traces sometimes
ended "1 FAILED 2:0"
echo "5 passed, 0 failed"
