#!/usr/bin/env bash
# Proves the README's two commands in a bare Debian 12 root: a clone of this checkout's HEAD, nothing installed but git.
# Needs root and debootstrap; takes some 20 minutes and 4 GB. What was proved is written to build/fresh-proof.txt.
#   bash tools/fresh.sh [--keep]
set -euo pipefail
cd "$(dirname "$0")/.."

keep=no
[ "${1:-}" = --keep ] && keep=yes
[ "$(id -u)" -eq 0 ] || { echo "fresh: needs root (it makes a root file system and enters it)" >&2; exit 1; }
command -v debootstrap >/dev/null || { echo "fresh: installing debootstrap"; apt-get update -qq; apt-get install -y -qq --no-install-recommends debootstrap >/dev/null; }

if [ -z "${DRUMWATCH_FRESH_INSIDE:-}" ]; then
  exec env DRUMWATCH_FRESH_INSIDE=1 unshare -m --propagation private bash "$0" "$@"
fi

hash=$(git rev-parse HEAD)
root=$(mktemp -d /var/tmp/drumwatch-fresh.XXXXXX)
chmod 755 "$root"  # as every real root is: mktemp's 0700 shuts out whoever is not root
git bundle create "$root.bundle" HEAD >/dev/null 2>&1  # now, before anybody commits more
say() { printf 'fresh: %s\n' "$*"; }
leave() {
  for place in dev/shm dev/pts proc; do umount "$root/$place" 2>/dev/null || true; done
  [ "$keep" = yes ] && { say "kept $root"; return; }
  rm -rf --one-file-system "$root"
}
trap leave EXIT

# The mirror that this machine's own apt uses.
mirror=$(apt-get indextargets --format '$(SITE)' 'Created-By: Packages' | grep -v security | head -n 1)
say "a bare Debian 12 in $root"
debootstrap --variant=minbase bookworm "$root" "$mirror" >"$root.log" 2>&1 || { tail -n 20 "$root.log" >&2; exit 1; }
rm -f "$root.log"
printf '127.0.0.1 localhost\n::1 localhost\n' >"$root/etc/hosts"
cp /etc/resolv.conf "$root/etc/resolv.conf" 2>/dev/null || true
# What this machine needs to reach its package mirrors, if anything: apt's settings and certificates.
rm -f "$root/etc/apt/sources.list"  # debootstrap's own would name the same again
for file in /etc/apt/sources.list /etc/apt/sources.list.d /etc/apt/apt.conf.d; do
  [ -e "$file" ] && mkdir -p "$root$(dirname "$file")" && cp -a "$file" "$root$(dirname "$file")/"
done
mkdir -p "$root/etc/ssl/certs"
[ -f /etc/ssl/certs/ca-certificates.crt ] && cp /etc/ssl/certs/ca-certificates.crt "$root/etc/ssl/certs/machine.crt"
mount -t proc proc "$root/proc"
mount -t devpts devpts "$root/dev/pts" 2>/dev/null || mount --bind /dev/pts "$root/dev/pts"
mkdir -p "$root/dev/shm" && mount -t tmpfs tmpfs "$root/dev/shm"

inside() {
  env -i PATH=/usr/local/sbin:/usr/local/bin:/usr/sbin:/usr/bin:/sbin:/bin HOME=/srv LC_ALL=C.UTF-8 TERM=dumb \
    NODE_EXTRA_CA_CERTS=/etc/ssl/certs/machine.crt npm_config_cafile=/etc/ssl/certs/machine.crt \
    ${http_proxy:+http_proxy="$http_proxy"} ${https_proxy:+https_proxy="$https_proxy"} ${npm_config_registry:+npm_config_registry="$npm_config_registry"} \
    chroot "$root" "$@"
}
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
