#!/usr/bin/env python3
"""What a poll of eight registers costs in user space in instructions, counted by callgrind: fails beyond a bar.

usage: links_instructions.py BENCH_LINKS [MOST]
"""
import glob
import re
import shutil
import subprocess
import sys
import tempfile

POLL = "drumwatch::ModbusPoll::poll()"
POLLS = 400


def count(bench: str, wire: str, polls: int) -> int:
    with tempfile.TemporaryDirectory() as folder:
        # The device is a child of the bench and makes a file of its own, with nothing in it.
        done = subprocess.run(["valgrind", "--tool=callgrind", f"--toggle-collect={POLL}",
                               f"--callgrind-out-file={folder}/polls.%p", bench, wire, str(polls)],
                              capture_output=True, text=True, check=False)
        totals = []
        for name in glob.glob(f"{folder}/polls.*"):
            with open(name, encoding="utf-8") as dump:
                totals += [int(found) for found in re.findall(r"^totals: (\d+)", dump.read(), re.MULTILINE)]
    if done.returncode != 0 or not totals or max(totals) == 0:
        sys.exit(f"nothing counted: is the poll still called so?\n{done.stderr[-2000:]}")
    return max(totals)


def main() -> None:
    if not shutil.which("valgrind"):
        sys.exit("valgrind is not installed: tools/setup.sh test installs it")
    worst = 0.0
    for wire in ("tcp", "rtu"):
        # The difference of two runs leaves out what the first poll pays once.
        each = (count(sys.argv[1], wire, 2 * POLLS) - count(sys.argv[1], wire, POLLS)) / POLLS
        print(f"{wire}: {each:.0f} instructions a poll of eight registers")
        worst = max(worst, each)
    if len(sys.argv) > 2 and worst > float(sys.argv[2]):
        sys.exit(f"more than {sys.argv[2]}")


if __name__ == "__main__":
    main()
