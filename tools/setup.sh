#!/usr/bin/env bash
# Installs what building Drumwatch needs on Debian 12, and no more: what is there already is left alone.
#   tools/setup.sh build    compiler, libraries, node and npm
#   tools/setup.sh package  that, and what makes and checks the Debian package
#   tools/setup.sh test     what building needs, and what the tests talk to (browser, independent Modbus programs, clang)
set -euo pipefail

say() { printf 'setup: %s\n' "$*"; }

build_packages=(g++ cmake ninja-build pkg-config ca-certificates util-linux
  libboost1.81-dev libmodbus-dev libsqlite3-dev nlohmann-json3-dev doctest-dev libcli11-dev libfmt-dev libspdlog-dev
  zlib1g-dev libssl-dev libsystemd-dev)
package_packages=(dpkg-dev file lintian python3)
test_packages=(man-db systemd chromium fonts-dejavu-core python3 python3-pymodbus python3-serial-asyncio python3-jsonschema mbpoll socat sqlite3 valgrind clang-16 llvm-16 libclang-rt-16-dev procps)

installed() { dpkg-query -W -f='${Status}' "$1" 2>/dev/null | grep -q 'ok installed'; }

as_root() {
  if [ "$(id -u)" -eq 0 ]; then "$@"; elif command -v sudo >/dev/null; then sudo "$@"
  else say "these packages are missing and need root to install: ${missing[*]}"; exit 1; fi
}

wanted=("${build_packages[@]}")
case "${1:-build}" in
  build) ;;
  package) wanted+=("${package_packages[@]}") ;;
  test) wanted+=("${test_packages[@]}") ;;
  *) echo "usage: tools/setup.sh build|package|test" >&2; exit 2 ;;
esac
# Debian's own node and npm only where there are none: beside another installation they conflict.
command -v node >/dev/null || wanted+=(nodejs)
command -v npm >/dev/null || wanted+=(npm)

missing=()
for package in "${wanted[@]}"; do installed "$package" || missing+=("$package"); done
if [ "${#missing[@]}" -eq 0 ]; then
  say "everything that is needed is installed"
  exit 0
fi
say "installing ${#missing[@]} Debian packages: ${missing[*]}"
as_root apt-get update -qq
as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "${missing[@]}" >/dev/null
say "done"
