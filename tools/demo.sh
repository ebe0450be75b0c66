#!/usr/bin/env bash
# The demo: sets up, builds, starts the simulated machine and the daemon of Saltmarsh Mill on loopback, prints the page's
# address, and goes on until Ctrl-C; with --once it ends after the first finished roast, with its verdict.
#   bash tools/demo.sh [--port N] [--speed X] [--once]
set -euo pipefail
cd "$(dirname "$0")/.."

port=8420 speed=4 once=no
usage() { echo "usage: bash tools/demo.sh [--port N] [--speed X] [--once]   (page's port, 0 = any; 1 to 20 times life; one roast)"; }
while [ $# -gt 0 ]; do
  case "$1" in
    --port) port=${2:?--port needs a number}; shift 2 ;;
    --speed) speed=${2:?--speed needs a number}; shift 2 ;;
    --once) once=yes; shift ;;
    -h|--help) usage; exit 0 ;;
    *) usage >&2; exit 2 ;;
  esac
done
[[ $port =~ ^[0-9]+$ ]] && [ "$port" -le 65535 ] || { echo "--port takes a number from 0 to 65535" >&2; exit 2; }
[[ $speed =~ ^[0-9]+(\.[0-9]+)?$ ]] || { echo "--speed takes a number from 1 to 20" >&2; exit 2; }

bash tools/setup.sh build
echo "demo: building (the first time takes some minutes)"
cmake --preset release >build-demo.log 2>&1 || { cat build-demo.log >&2; exit 1; }
cmake --build --preset release --target drumwatch drumwatch-sim >>build-demo.log 2>&1 || { tail -n 40 build-demo.log >&2; exit 1; }
rm -f build-demo.log

bin=build/release/bin
state=build/demo
rm -rf "$state"
mkdir -p "$state"
simulator="" daemon=""
end() {
  trap - EXIT INT TERM
  for process in $daemon $simulator; do kill -TERM "$process" 2>/dev/null || true; done
  for process in $daemon $simulator; do wait "$process" 2>/dev/null || true; done
}
trap end EXIT
trap 'end; exit 130' INT
trap 'end; exit 143' TERM

# Waits for a line that matches in a file that a process writes; fails when the process ends first.
await() { # pattern, file, process
  until grep -m1 -E "$1" "$2" 2>/dev/null; do
    kill -0 "$3" 2>/dev/null || { grep -m1 -E "$1" "$2" && return; cat "$2" >&2; return 1; }
    sleep 0.2
  done
}

"$bin/drumwatch-sim" --machine drum --speed "$speed" --seed 7 >"$state/simulator.log" 2>&1 &
simulator=$!
modbus=$(await '^modbus: ' "$state/simulator.log" "$simulator")

# The example station with this demo's ports, speed and folder.
sed -e "s/\"port\": 15020/\"port\": ${modbus##*:}/" -e "s/\"speed\": 4/\"speed\": $speed/" \
    -e "s/\"port\": 8420/\"port\": $port/" -e "s#\"targets/#\"$PWD/conf/targets/#" \
    -e "s#\"demo.sqlite\"#\"$PWD/$state/record.sqlite\"#" conf/demo.json >"$state/station.json"

"$bin/drumwatch" run "$state/station.json" >"$state/page.log" 2>"$state/daemon.log" &
daemon=$!
await '^page: ' "$state/page.log" "$daemon" || { cat "$state/daemon.log" >&2; exit 1; }

if [ "$once" = no ]; then
  echo "demo: a roast begins when the drum is hot; Ctrl-C ends. This is practice on a model, not a machine."
  wait "$daemon"
  exit 1
fi
echo "demo: following one roast, about $(awk "BEGIN { printf \"%.0f\", 780 / $speed }") s"
await 'verdict of roast' "$state/daemon.log" "$daemon" >/dev/null
sleep 1.5  # the commit of the second in which it was given
sed -nE 's/^[^ ]+ info [0-9.]+ s: (verdict of roast .*|reason: .*)$/\1/p' "$state/daemon.log"
echo "record: $PWD/$state/record.sqlite"
