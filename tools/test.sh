#!/usr/bin/env bash
# Every test. Sets up, builds, runs; ends with ctest's own summary.
#   bash tools/test.sh          release build, C++ tests and page tests
#   bash tools/test.sh --all    also address/undefined and thread sanitizers, clang, short fuzz runs, and the Debian package
set -euo pipefail
cd "$(dirname "$0")/.."

all=no
case "${1:-}" in
  "") ;;
  --all) all=yes ;;
  *) echo "usage: bash tools/test.sh [--all]" >&2; exit 2 ;;
esac

say() { printf '\n== %s (%s)\n' "$*" "$(date -u +%H:%M:%S)"; }

bash tools/setup.sh test

configure_and_build() { # preset
  say "building: $1"
  mkdir -p build
  cmake --preset "$1" >"build/$1.log" 2>&1 || { cat "build/$1.log" >&2; exit 1; }
  cmake --build --preset "$1" >>"build/$1.log" 2>&1 || { grep -E -A8 'error|FAILED' "build/$1.log" | head -n 60 >&2; exit 1; }
}
run_tests() { # preset, further arguments of ctest
  local preset=$1
  shift
  say "tests: $preset"
  ctest --test-dir "build/$preset" --output-on-failure --no-tests=error "$@"
}

configure_and_build release
if [ "$all" = yes ]; then
  # Sanitizers (asan with the fuzz programs) run what is C++; browser, timing and whole-process tests of the release build are not repeated there.
  # What has no threads can't race, and is built and run by another optimiser: the same readings make the same journal.
  declare -A chosen=([asan]='-LE page|release-only' [tsan]='-LE page|release-only' [clang]='-L pure')
  for preset in asan tsan clang; do
    configure_and_build "$preset"
    # shellcheck disable=SC2086 # an option and its value
    run_tests "$preset" -j2 ${chosen[$preset]}
  done
  say "the package, checked by lintian"
  bash tools/package.sh >build/package.log 2>&1 || { cat build/package.log >&2; exit 1; }
fi
run_tests release -j2
