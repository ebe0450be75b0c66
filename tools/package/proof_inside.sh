#!/bin/bash
# Run as root by a booted Debian 12 in which drumwatch 0.0.9 is installed and nothing else was done: configures it as
# a site would, and goes with it through a roast, a stuck engine, a kill, an upgrade, a removal and a purge.
# /srv holds this script and the newer package. Says PROVED or what failed.
set -euo pipefail

say() { printf '%s\n' "$*"; }
fail() {
  say "FAILED: $*"
  journalctl -u drumwatch -n 40 --no-pager -o cat || true
  exit 1
}
until_within() { # seconds, what, command...
  local seconds=$1 what=$2
  shift 2
  for ((i = 0; i < seconds * 5; i++)); do "$@" >/dev/null 2>&1 && return; sleep 0.2; done
  fail "$what: not within $seconds s"
}
property() { systemctl show drumwatch -p "$1" --value; }
is() { [ "$(property "$1")" = "$2" ]; }
log_has() { journalctl -u drumwatch --no-pager -o cat | grep -q "$1"; }
page() { # path
  exec 3<>/dev/tcp/127.0.0.1/8420
  printf 'GET %s HTTP/1.1\r\nHost: 127.0.0.1:8420\r\nConnection: close\r\n\r\n' "$1" >&3
  cat <&3
  exec 3>&-
}
page_answers() { page /healthz | grep -q '200 OK'; }

say "installed: $(dpkg-query -W -f='${Version}' drumwatch)"
[ "$(systemctl is-enabled drumwatch)" = enabled ] || fail "it is not enabled"
drumwatch check /etc/drumwatch/station.json || fail "the first configuration has mistakes"
until_within 20 "started with the box" is ActiveState active

speed=8
systemd-run --quiet --unit=machine drumwatch-sim --machine drum --port 15020 --speed $speed --seed 7
sed -e "s/\"speed\": 4/\"speed\": $speed/" -e 's#"targets/#"/usr/share/doc/drumwatch/examples/targets/#' \
    -e 's#"demo.sqlite"#"/var/lib/drumwatch/station.sqlite"#' \
    /usr/share/doc/drumwatch/examples/demo.json >/etc/drumwatch/station.json
chmod 644 /etc/drumwatch/station.json
systemctl restart drumwatch || fail "systemctl restart"
is ActiveState active || fail "started, but not active"
until_within 10 "the page" page_answers
say "running as $(ps -o user= -p "$(property MainPID)") with $(ps -o rss= -p "$(property MainPID)") kB: $(property StatusText)"
[ "$(ps -o user= -p "$(property MainPID)")" = drumwatch ] || fail "wrong user"
systemd-analyze security drumwatch --no-pager --threshold=20 | tail -n 1 || fail "exposure above 2.0"

until_within 120 "a charge" log_has ' charge'
until_within 60 "the turning point" log_has 'turning point'
say "a roast is under way; the daemon is stopped where it stands, as a stuck engine would be"
before=$(property MainPID)
stuck_at=$(date +%s%N)
kill -STOP "$before"
until_within 20 "a new daemon" eval '[ "$(property MainPID)" != "$before" ] && is ActiveState active'
stood_up_ms=$((($(date +%s%N) - stuck_at) / 1000000))
say "stuck to ready again: $stood_up_ms ms"
[ "$stood_up_ms" -le 12000 ] || fail "more than 12 s"
until_within 5 "the roast goes on" log_has 'roast 1 in the drum goes on'
! log_has 'after a gap of unknown length' || fail "within one boot the gap is known, also in the sandbox"
before=$(property MainPID)
killed_at=$(date +%s%N)
kill -KILL "$before"
until_within 10 "a new daemon" eval '[ "$(property MainPID)" != "$before" ] && is ActiveState active'
say "killed to ready again: $((($(date +%s%N) - killed_at) / 1000000)) ms"

say "upgrade while the roast goes on"
kept=$(sha256sum </etc/drumwatch/station.json)
before=$(property MainPID)
dpkg -i /srv/newer.deb >/srv/upgrade.log 2>&1 </dev/null || { cat /srv/upgrade.log; fail "upgrade"; }
say "upgraded: $(dpkg-query -W -f='${Version}' drumwatch)"
[ "$(sha256sum </etc/drumwatch/station.json)" = "$kept" ] || fail "the edited configuration is gone"
until_within 10 "a new daemon after the upgrade" eval '[ "$(property MainPID)" != "$before" ] && is ActiveState active'
gone_on() { [ "$(journalctl -u drumwatch --no-pager -o cat | grep -c 'roast 1 in the drum goes on')" -eq 3 ]; }
until_within 5 "the roast goes on after the upgrade too" gone_on
until_within 240 "the drop" log_has 'verdict of roast 1'
until_within 30 "the roast in the record" drumwatch export /var/lib/drumwatch/station.sqlite --roast 1 --out /srv/roast.csv
grep -q drop /srv/roast.csv || until_within 30 "the drop in the record" eval \
  'drumwatch export /var/lib/drumwatch/station.sqlite --roast 1 --out /srv/roast.csv; grep -q drop /srv/roast.csv'
drumwatch doctor /etc/drumwatch/station.json >/srv/doctor.log || [ $? -eq 1 ] || { cat /srv/doctor.log; fail "the doctor finds something broken"; }
grep -E '^(look|broken)' /srv/doctor.log || true
say "the roast was followed through all of it: $(($(wc -l </srv/roast.csv) - 1)) rows"
