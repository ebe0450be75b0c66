#!/usr/bin/env bash
# Proves the README's two commands in a bare Debian 12 root: a clone of this checkout's HEAD, nothing installed but git.
# Needs root and debootstrap; takes some 40 minutes and 4 GB. What was proved is written to build/fresh-proof.txt.
#   bash tools/fresh.sh [--keep]
set -euo pipefail
cd "$(dirname "$0")/.."

keep=no
[ "${1:-}" = --keep ] && keep=yes
[ "$(id -u)" -eq 0 ] || { echo "fresh: needs root (it makes a root file system and enters it)" >&2; exit 1; }

if [ -z "${DRUMWATCH_FRESH_INSIDE:-}" ]; then
  exec env DRUMWATCH_FRESH_INSIDE=1 unshare -m --propagation private bash "$0" "$@"
fi

. tools/bare_root.sh
hash=$(git rev-parse HEAD)
root=$(mktemp -d /var/tmp/drumwatch-fresh.XXXXXX)
git bundle create "$root.bundle" HEAD >/dev/null 2>&1  # now, before anybody commits more
say() { printf 'fresh: %s\n' "$*"; }
leave() {
  bare_root_unmount "$root"
  [ "$keep" = yes ] && { say "kept $root"; return; }
  rm -rf --one-file-system "$root"
}
trap leave EXIT

say "a bare Debian 12 in $root"
bare_root_make "$root"
bare_root_mount "$root"
inside() { bare_root_run "$root" "$@"; }
say "installing git"
inside apt-get update -qq
inside apt-get install -y -qq --no-install-recommends git >/dev/null 2>&1
mv "$root.bundle" "$root/srv/source.bundle"
inside git -c advice.detachedHead=false clone -q /srv/source.bundle /srv/drumwatch
[ "$(inside git -C /srv/drumwatch rev-parse HEAD)" = "$hash" ]

began=$(date +%s)
say "bash tools/demo.sh --once"
inside bash -c 'cd /srv/drumwatch && bash tools/demo.sh --port 0 --once'
after_demo=$(date +%s)
say "bash tools/test.sh"
inside bash -c 'cd /srv/drumwatch && bash tools/test.sh'
after_test=$(date +%s)
left=$(for process in /proc/[0-9]*; do [ "$(readlink "$process/root" 2>/dev/null)" = "$root" ] && cat "$process/comm"; done || true)
[ -z "$left" ] || { say "processes were left behind: $left"; exit 1; }

mkdir -p build
{
  echo "commit $hash"
  echo "date $(date -u +%FT%TZ)"
  echo "demo.sh --once, everything installed and built first: $((after_demo - began)) s"
  echo "test.sh after it: $((after_test - after_demo)) s"
} | tee build/fresh-proof.txt
