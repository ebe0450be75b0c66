#!/usr/bin/env bash
# Builds the Debian package for this machine's architecture into build/package and checks it with lintian.
#   bash tools/package.sh [--version X]      --version: the same build under another number, to try an upgrade
set -euo pipefail
cd "$(dirname "$0")/.."

version=()
[ "${1:-}" = --version ] && version=(-D "CPACK_PACKAGE_VERSION=$2" -D "CPACK_DEBIAN_PACKAGE_VERSION=$2")

bash tools/setup.sh package
cmake --preset package >/dev/null
cmake --build --preset package

made=build/package/package-files
mkdir -p "$made"
gzip -9nc tools/package/changelog >"$made/changelog.gz"
for page in drumwatch.1 drumwatch-sim.1; do gzip -9nc "tools/package/$page" >"$made/$page.gz"; done
python3 tools/package/man_from_markdown.py conf/README.md | gzip -9n >"$made/drumwatch.json.5.gz"
# The terms of what is compiled into the programs, as their own packages state them (Boost's asks for nothing in
# a program).
{
  cat tools/package/copyright-head
  for work in nlohmann-json3-dev libcli11-dev libfmt-dev libspdlog-dev; do
    printf '\n--- %s ---\n\n' "$work"
    cat "/usr/share/doc/$work/copyright"
  done
  printf '\n--- Preact, in the page ---\n\n'
  cat web/page/node_modules/preact/LICENSE
} >"$made/copyright"

umask 022
cd build/package
cpack "${version[@]}" >/dev/null
file=$(ls -t drumwatch_*.deb | head -n 1)
echo "package: build/package/$file"
depends=$(dpkg-deb -f "$file" Depends)
echo "depends: $depends"
for library in libc6 libstdc++6 libmodbus5 libsqlite3-0 libssl3 libsystemd0 zlib1g; do
  # dpkg-shlibdeps may leave this empty without a word.
  case "$depends" in *"$library"*) ;; *) echo "package: does not depend on $library" >&2; exit 1 ;; esac
done
lintian --fail-on error,warning "$file"
