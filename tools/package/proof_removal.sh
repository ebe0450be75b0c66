#!/bin/bash
# The second half of the proof, sourced after proof_inside.sh: stop, remove, install again, purge.
say "stop, remove"
systemctl stop drumwatch || fail "systemctl stop"
[ "$(property Result)" = success ] || fail "it did not stop cleanly: $(property Result)"
dpkg -r drumwatch >/dev/null
systemctl daemon-reload
[ -s /var/lib/drumwatch/station.sqlite ] || fail "remove took the record away"
[ -f /etc/drumwatch/station.json ] || fail "remove took the configuration away"
[ ! -e /usr/bin/drumwatch ] || fail "the program is still there"
dpkg -i /srv/newer.deb >/dev/null 2>&1 || fail "installing again"
[ "$(sha256sum </etc/drumwatch/station.json)" = "$kept" ] || fail "installed again, the configuration is another"
systemctl start drumwatch || fail "systemctl start after installing again"
systemctl stop drumwatch

say "purge"
dpkg -P drumwatch 2>&1 | grep 'record of roasts is left in /var/lib/drumwatch' || fail "purge says nothing of the record"
systemctl daemon-reload
[ -s /var/lib/drumwatch/station.sqlite ] || fail "purge took the record away"
[ "$(stat -c %U /var/lib/drumwatch/station.sqlite)" = root ] || fail "the record belongs to nobody"
! getent passwd drumwatch || fail "the user is still there"
left=$(find / -xdev -path /proc -prune -o -path /sys -prune -o -path /srv -prune -o -path /var/lib/drumwatch -prune \
  -o -path /var/log -prune -o -iname '*drumwatch*' -print)
[ -z "$left" ] || fail "left behind: $left"
! grep -rl drumwatch /etc 2>/dev/null | grep -vE '^/etc/(group|gshadow|passwd|shadow)-$' || fail "traces in /etc"

say "and without a record, nothing at all stays"
rm -rf /var/lib/drumwatch
dpkg -i /srv/newer.deb >/dev/null 2>&1
dpkg -P drumwatch >/dev/null 2>&1 || fail "second purge"
[ ! -e /var/lib/drumwatch ] || fail "an empty folder was left"
