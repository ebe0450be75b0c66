#!/usr/bin/env bash
# Proves the Debian package in a bare Debian 12: installed by apt, booted in a container with systemd as process 1,
# run under its own unit, stuck, killed, upgraded from an older build, removed and purged.
# Needs root, debootstrap and systemd-nspawn (package systemd-container); about 6 minutes and 500 MB.
#   bash tools/fresh_package.sh [--keep]
set -euo pipefail
cd "$(dirname "$0")/.."

keep=no
[ "${1:-}" = --keep ] && keep=yes
[ "$(id -u)" -eq 0 ] || { echo "fresh_package: needs root" >&2; exit 1; }
command -v systemd-nspawn >/dev/null || { echo "fresh_package: needs systemd-nspawn (package systemd-container)" >&2; exit 1; }
if [ -z "${DRUMWATCH_FRESH_INSIDE:-}" ]; then
  exec env DRUMWATCH_FRESH_INSIDE=1 unshare -m --propagation private bash "$0" "$@"
fi

. tools/bare_root.sh
say() { printf 'fresh_package: %s\n' "$*"; }
bash tools/package.sh --version 0.0.9
bash tools/package.sh
root=$(mktemp -d /var/tmp/drumwatch-package.XXXXXX)
leave() {
  bare_root_unmount "$root"
  [ "$keep" = yes ] && { say "kept $root"; return; }
  rm -rf --one-file-system "$root"
}
trap leave EXIT

say "a bare Debian 12 with systemd in $root"
bare_root_make "$root" systemd,systemd-sysv,dbus,procps
cp build/package/drumwatch_0.0.9_*.deb "$root/srv/older.deb"
cp "$(ls build/package/drumwatch_*.deb | grep -v _0.0.9_ | sort -V | tail -n 1)" "$root/srv/newer.deb"
bare_root_mount "$root"
bare_root_run "$root" apt-get update -qq
say "apt-get install, no service manager running"
bare_root_run "$root" apt-get install -y -qq --no-install-recommends /srv/older.deb >"$root/srv/install.log" 2>&1 ||
  { tail -n 30 "$root/srv/install.log" >&2; exit 1; }
grep 'edit /etc/drumwatch/station.json' "$root/srv/install.log"
bare_root_unmount "$root"

# The proof runs as a unit of its own; its end ends the container.
cat tools/package/proof_inside.sh tools/package/proof_removal.sh >"$root/srv/proof.sh"
echo 'say PROVED' >>"$root/srv/proof.sh"
cat >"$root/etc/systemd/system/proof.service" <<'UNIT'
[Unit]
After=multi-user.target
SuccessAction=exit-force
FailureAction=exit-force
[Service]
Type=oneshot
ExecStart=/bin/bash /srv/proof.sh
StandardOutput=file:/srv/proof.log
StandardError=inherit
[Install]
WantedBy=multi-user.target
UNIT
ln -s ../proof.service "$root/etc/systemd/system/multi-user.target.wants/proof.service"
say "booting it"
systemd-nspawn --quiet --directory="$root" --register=no --keep-unit --private-network --boot --console=pipe \
  >"$root/srv/boot.log" 2>&1 </dev/null || true
mkdir -p build
{ echo "commit $(git rev-parse HEAD), $(date -u +%FT%TZ)"; cat "$root/srv/proof.log"; } | tee build/package-proof.txt
grep -q '^PROVED$' build/package-proof.txt
