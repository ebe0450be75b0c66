#!/bin/bash
# A running drumwatch-sim read by mbpoll, a Modbus client that is not ours (Debian package mbpoll).
#   simulator_mbpoll.sh PROGRAM
set -euo pipefail

sim=$1
if ! command -v mbpoll >/dev/null; then
    echo "mbpoll is not installed (apt-get install mbpoll)" >&2
    exit 1
fi
work=$(mktemp -d)
"$sim" --port 0 --stepped 250 --truth "$work/truth" >"$work/out" &
pid=$!
trap 'kill "$pid" 2>/dev/null || true; rm -rf "$work"' EXIT

for _ in $(seq 200); do
    grep -q '^modbus: ' "$work/out" && break
    kill -0 "$pid"
    read -rt 0.05 <> <(:) || true
done
port=$(sed -n 's/^modbus: .*://p' "$work/out")

# ask TYPE FIRST COUNT [VALUE]: the values, one a line; addresses count from 0
ask() {
    mbpoll -m tcp -p "$port" -a 1 -0 -1 -B -t "$1" -r "$2" -c "$3" 127.0.0.1 | sed -n 's/^\[[0-9]*\]:[[:space:]]*//p'
}
expect() {
    if [ "$2" != "$3" ]; then
        echo "FAILED: $1: got '$2', wanted '$3'" >&2
        exit 1
    fi
    echo "ok: $1"
}

mapfile -t whole < <(ask 3 0 7)
mapfile -t floats < <(ask 3:float 10 7)
expect "seven temperatures as int16" "${#whole[@]}" 7
expect "seven temperatures as float32" "${#floats[@]}" 7
for i in 0 1 2 3 4 5 6; do
    tenths=$(awk -v f="${floats[$i]}" 'BEGIN { printf "%.0f", f * 10 }')
    expect "temperature $i is the same in both" "$tenths" "${whole[$i]%% *}"
done
expect "drum speed 52.0" "$(ask 4 2 1)" 520
expect "time begins at 0" "$(ask 4:int 3 1)" 0
expect "and has gone on by one step" "$(ask 4:int 3 1)" 250
expect "status preheating" "$(ask 4 5 1)" 0

mbpoll -m tcp -p "$port" -a 1 -0 -t 0 -r 0 127.0.0.1 1 >/dev/null
expect "the sounder coil is set" "$(ask 0 0 1)" 1
expect "and stands in the truth" "$(grep -c '"event":"coil"' "$work/truth")" 1
if mbpoll -m tcp -p "$port" -a 1 -0 -t 4 -r 0 127.0.0.1 500 >"$work/refused" 2>&1; then
    echo "FAILED: a holding register could be written" >&2
    exit 1
fi
expect "writing a register is an illegal function" "$(grep -c 'Illegal function' "$work/refused")" 1

kill -INT "$pid"
wait "$pid"
expect "it ends cleanly" "$?" 0
