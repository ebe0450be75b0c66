#!/usr/bin/env python3
"""The manual pages against the programs and against man itself: check_man_pages.py SOURCE_DIR BIN_DIR

Each subcommand and each option that --help names stands in its page, and no other; and man has nothing to complain of.
"""
import pathlib
import re
import subprocess
import sys
import tempfile

source, binaries = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2])
pages = source / "tools" / "package"
complaints = []


def help_of(command):
    return subprocess.run([*command, "--help"], capture_output=True, text=True, check=True, timeout=60).stdout


def options_of_help(text):
    named = set()
    for line in text.splitlines():
        if re.match(r"\s+-", line):
            named |= set(re.findall(r"--[a-z][a-z-]*", line.split("  ")[1] if line.startswith("  ") else line))
    return named - {"--help", "--version"}


def subcommands_of_help(text):
    listed = re.search(r"^Subcommands:\n((?:  .*\n?)+)", text, re.M)
    return re.findall(r"^  ([a-z-]+)\b", listed.group(1), re.M) if listed else []


def options_of_page(text):
    """The options that head a paragraph: the line after the macro for a tagged one."""
    heads = re.findall(r"^\.T[P]\n(.*)$", text.replace("\\-", "-"), re.M)
    return {option for head in heads for option in re.findall(r"--[a-z][a-z-]*", head)}


def compare(where, says, page):
    for option in sorted(says - page):
        complaints.append(f"{where}: {option} is in --help and not in the page")
    for option in sorted(page - says):
        complaints.append(f"{where}: {option} is in the page and not in --help")


def sections(text):
    found = re.split(r"^\.SS (.*)$", re.split(r"^\.SH SUBCOMMANDS$", text, maxsplit=1, flags=re.M)[1], flags=re.M)
    return {title: body.split("\n.SH ")[0] for title, body in zip(found[1::2], found[2::2])}


def check_command(command, titles, found):
    """A subcommand is titled by its words and arguments, as in "run CONFIG"; subcommands of its own come after it."""
    words = command[1:]
    text = help_of(command)
    inner = subcommands_of_help(text)
    for name in inner:
        check_command([*command, name], titles, found)
    if not words or inner:
        return
    name = " ".join(words)
    mine = [title for title in titles if re.sub(r"( \[?[A-Z]\S*)*$", "", title) == name]
    if len(mine) != 1:
        complaints.append(f"drumwatch.1: {name} has {len(mine)} sections")
        return
    found.add(mine[0])
    compare(f"drumwatch.1, {name}", options_of_help(text), options_of_page(titles[mine[0]]))


def man_is_content(path):
    shown = subprocess.run(["man", "--warnings", "-E", "UTF-8", "-l", path], capture_output=True, text=True,
                           env={"PATH": "/usr/bin:/bin", "LC_ALL": "C.UTF-8", "MANROFFSEQ": "", "MANWIDTH": "80"}, timeout=60)
    if shown.returncode != 0 or shown.stderr.strip():
        complaints.append(f"{path}: {shown.stderr.strip()}")
    if len(shown.stdout.splitlines()) < 20:
        complaints.append(f"{path}: man shows next to nothing")


titles, found = sections((pages / "drumwatch.1").read_text(encoding="utf-8")), set()
check_command([binaries / "drumwatch"], titles, found)
complaints += [f"drumwatch.1: there is no subcommand \"{title}\"" for title in sorted(set(titles) - found)]
simulator_page = (pages / "drumwatch-sim.1").read_text(encoding="utf-8")
compare("drumwatch-sim.1", options_of_help(help_of([binaries / "drumwatch-sim"])), options_of_page(simulator_page))
if not found or not options_of_page(simulator_page):
    complaints.append("nothing was compared")
with tempfile.TemporaryDirectory() as folder:
    made = pathlib.Path(folder) / "drumwatch.json.5"
    made.write_text(subprocess.run([sys.executable, pages / "man_from_markdown.py", source / "conf" / "README.md"],
                                   capture_output=True, text=True, check=True).stdout, encoding="utf-8")
    for page in (pages / "drumwatch.1", pages / "drumwatch-sim.1", made):
        man_is_content(page)
print("\n".join(complaints) if complaints else f"{len(found)} subcommands and the simulator agree with their pages")
sys.exit(1 if complaints else 0)
