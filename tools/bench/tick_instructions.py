#!/usr/bin/env python3
"""What each tick of a roast costs in instructions, counted by callgrind: fails outside stated bounds.

usage: tick_instructions.py BENCH_TICKS [MEAN_AT_LEAST MEAN_AT_MOST WORST_AT_LEAST WORST_AT_MOST]
"""
import glob
import re
import shutil
import subprocess
import sys
import tempfile

STEP = "drumwatch::Engine::step(drumwatch::Frame const&)"


def count(bench: str, folder: str) -> list[int]:
    command = ["valgrind", "--tool=callgrind", f"--toggle-collect={STEP}", f"--dump-after={STEP}",
               f"--callgrind-out-file={folder}/tick", bench, "1"]
    # Its own verdict is on time, which has no meaning here.
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    ticks = []
    for name in glob.glob(f"{folder}/tick.*"):
        with open(name, encoding="utf-8") as dump:
            total = re.search(r"^totals: (\d+)", dump.read(), re.MULTILINE)
        if total:
            ticks.append(int(total.group(1)))
    if len(ticks) < 3000:
        sys.exit(f"only {len(ticks)} ticks counted: is the engine's step still called so?\n{done.stderr[-2000:]}")
    return ticks


def main() -> None:
    if not shutil.which("valgrind"):
        sys.exit("valgrind is not installed: tools/setup.sh test installs it")
    with tempfile.TemporaryDirectory() as folder:
        ticks = count(sys.argv[1], folder)
    mean, worst = sum(ticks) / len(ticks), max(ticks)
    print(f"{len(ticks)} ticks: {mean:.0f} instructions in the mean, {worst} in the worst, "
          f"{sum(tick > 15000 for tick in ticks)} above 15000")
    bounds = [float(bound) for bound in sys.argv[2:]]
    if bounds and not (bounds[0] <= mean <= bounds[1] and bounds[2] <= worst <= bounds[3]):
        sys.exit(f"outside {bounds}")


if __name__ == "__main__":
    main()
