#!/usr/bin/env python3
"""Each mutation of the PURE rooms must fail a test: applies those of mutations.json one by one to a copy of the
tree, builds the test programs named there and runs them until one fails. By hand, some minutes:

    python3 tests/mutations/run_mutations.py [--only WORD]

Prints a line each and, at the end, those that no test noticed; exit 1 if there are any.
"""
import argparse
import json
import pathlib
import shutil
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parents[2]


def run(*command, cwd=None, timeout=900):
    try:
        done = subprocess.run(command, cwd=cwd, capture_output=True, text=True, timeout=timeout)
    except subprocess.TimeoutExpired:
        return 1, "took too long"
    return done.returncode, done.stdout + done.stderr


def copy_of_tree(into):
    """What is tracked, as it stands."""
    files = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, check=True).stdout
    for name in files.decode().split("\0"):
        if name and (ROOT / name).is_file():
            (into / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, into / name)


def build(tree, programs):
    code, said = run("cmake", "--build", "build/release", "-j2", "--target", *programs, cwd=tree)
    return code == 0, said


def first_failed_case(said):
    """Cases are named before what they say, and also where they only say something."""
    case = None
    for line in said.splitlines():
        if line.startswith("TEST CASE:"):
            case = line[11:].strip()
        if " ERROR: " in line or " FATAL ERROR: " in line:
            return case
    return None


def first_failure(tree, programs):
    for program in programs:
        code, said = run(str(tree / "build/release/bin" / program), cwd=tree)
        if code != 0:
            return program + ": " + (first_failed_case(said) or "ended with " + str(code))
    return None


def try_one(tree, mutation, programs):
    path = tree / mutation["file"]
    before = path.read_text()
    if before.count(mutation["from"]) != 1:
        return "not applicable: its text stands %d times in %s" % (before.count(mutation["from"]), mutation["file"])
    path.write_text(before.replace(mutation["from"], mutation["to"]))
    try:
        built, said = build(tree, programs)
        if not built:
            return "does not build: " + said[-400:]
        return first_failure(tree, programs)
    finally:
        path.write_text(before)


def main():
    call = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    call.add_argument("--only", default="", help="those whose description holds this word")
    chosen = call.parse_args()
    whole = json.loads((pathlib.Path(__file__).parent / "mutations.json").read_text())
    wanted = [m for m in whole["mutations"] if chosen.only in m["what"]]
    with tempfile.TemporaryDirectory() as place:
        tree = pathlib.Path(place) / "tree"
        copy_of_tree(tree)
        code, said = run("cmake", "--preset", "release", cwd=tree)
        built, more = build(tree, whole["programs"]) if code == 0 else (False, said)
        if not built:
            sys.exit("the tree itself does not build:\n" + more[-2000:])
        if failed := first_failure(tree, whole["programs"]):
            sys.exit("the tree itself fails: " + failed)
        lived = 0
        for number, mutation in enumerate(wanted, 1):
            found = try_one(tree, mutation, mutation.get("programs", whole["programs"]))
            bad = found is None or found.startswith(("not applicable", "does not build"))
            lived += bad
            print("%2d %s: %s" % (number, mutation["what"], found or "NO TEST NOTICED"), flush=True)
    print("%d mutations, %d not noticed or not tried" % (len(wanted), lived))
    return 1 if lived else 0


if __name__ == "__main__":
    sys.exit(main())
