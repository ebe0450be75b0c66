#!/usr/bin/env python3
"""House rules that no compiler checks. Run by ctest: check_rules.py SOURCE_DIR BUILD_DIR

Prints every breach with the reason for the rule; exit 1 when there is one.
"""
import json
import pathlib
import re
import subprocess
import sys

source, build = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2])
breaches = []


def breach(where, what, why):
    breaches.append(f"{where}: {what}\n    why: {why}")


def tracked():
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=source, capture_output=True, text=True, check=True).stdout
    return [source / name for name in listed.split("\0") if name and (source / name).is_file()]


def text_of(path):
    try:
        return path.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        return None


def pure_rooms_stay_pure():
    """A clock, a thread or a file in the engine, and a watch no longer reruns to the same journal."""
    forbidden = re.compile(
        r"^(clock_gettime|gettimeofday|time|nanosleep|usleep|pthread_\w+|open|open64|fopen|fopen64|read|write|socket|getenv|"
        r"rand|random|srand|std::chrono::_V2::\w+::now\(\)|std::thread::\S+|std::basic_[io]?fstream\S*|std::random_device\S*)"
    )
    for room in ("core", "roast", "engine"):
        check_archive(build / "daemon" / f"libdrumwatch_{room}.a", forbidden)
    check_archive(build / "alarms" / "libdrumwatch_alarms.a", forbidden)


def check_archive(archive, forbidden):
    if not archive.exists():
        breach(archive, "is not there", "the check of the PURE rooms must not pass by looking at nothing")
        return
    symbols = subprocess.run(["nm", "-C", "-u", archive], capture_output=True, text=True, check=True).stdout
    for line in symbols.splitlines():
        symbol = line.strip().removeprefix("U ").strip()
        if forbidden.match(symbol):
            breach(archive.name, f"uses {symbol}", pure_rooms_stay_pure.__doc__)


def headers_stay_light(files):
    heavy = re.compile(r'#include\s*[<"](boost/(asio|beast)|sqlite3\.h|modbus\.h|nlohmann/json\.hpp)')
    for path in files:
        if path.suffix == ".hpp" and "tests" not in path.relative_to(source).parts:
            for number, line in enumerate((text_of(path) or "").splitlines(), 1):
                if heavy.search(line):
                    breach(f"{path.relative_to(source)}:{number}", line.strip(), "these stand in source files, never in a header")


def rooms_do_not_meet(files):
    """record, web, drivers and sounders are wired together by service and know nothing of each other."""
    rooms = {"record": "daemon/record/", "web": "web/server/", "drivers": "drivers/", "sounders": "alarms/sounders/"}
    for path in files:
        name = str(path.relative_to(source))
        if path.suffix not in (".hpp", ".cpp"):
            continue
        for room, folder in rooms.items():
            if not name.startswith(folder):
                continue
            for other in set(rooms) - {room}:
                if re.search(rf'#include "{other}/', text_of(path) or ""):
                    breach(name, f"includes {other}/", rooms_do_not_meet.__doc__)


def no_way_round_the_include_roots(files):
    """The room sounders lies in the folder of alarms, which is PURE: by that path the engine could include it."""
    for path in files:
        if path.suffix in (".hpp", ".cpp") and '#include "alarms/sounders/' in (text_of(path) or ""):
            breach(path.relative_to(source), "includes alarms/sounders/", no_way_round_the_include_roots.__doc__)


def one_name_one_class(files):
    """Two classes of one name in two rooms are one to the linker, and the wrong constructor runs."""
    definition = re.compile(r"^(?:class|struct) ([A-Z]\w+)(?: final)?(?: :[^;]*)?\s*\{", re.M)
    seen = {}
    for path in files:
        name = str(path.relative_to(source))
        if path.suffix != ".hpp" or not name.startswith(("daemon/", "drivers/", "alarms/", "web/server/")):
            continue
        for found in definition.findall(text_of(path) or ""):
            if found in seen:
                breach(name, f"defines {found}, and so does {seen[found]}", one_name_one_class.__doc__)
            seen[found] = name


def words_are_spelled_out(files):
    """Milestones, curves and events have names in words; letter codes belong to nobody's mother tongue."""
    codes = re.compile(r"\b(" + "|".join(("B" "T", "E" "T", "Ro" "R", "RO" "R", "T" "P", "F" "Cs", "F" "Ce", "S" "Cs", "D" "TR", "M" "AI", "A" "UC")) + r")\b")
    for path in files:
        if path.suffix in (".hpp", ".cpp", ".ts", ".tsx", ".css", ".md", ".json", ".sh", ".py", ".mjs") and path.name != "package-lock.json":
            for number, line in enumerate((text_of(path) or "").splitlines(), 1):
                if codes.search(line):
                    breach(f"{path.relative_to(source)}:{number}", line.strip()[:100], words_are_spelled_out.__doc__)


def nothing_of_one_machine(files):
    """A checkout must build anywhere: no path of a developer's machine, no download address in a lock file."""
    paths = re.compile(r"(?<![\w.~-])/(work|root|home)/\w")
    for path in files:
        if path.name == "package-lock.json" and '"resolved": "http' in (text_of(path) or ""):
            breach(path.relative_to(source), "has download addresses", nothing_of_one_machine.__doc__)
        elif path.suffix in (".hpp", ".cpp", ".txt", ".cmake", ".sh", ".md", ".json", ".mjs", ".ts", ".tsx", ".py") and path.name != "check_rules.py":
            for number, line in enumerate((text_of(path) or "").splitlines(), 1):
                if paths.search(line):
                    breach(f"{path.relative_to(source)}:{number}", line.strip()[:100], nothing_of_one_machine.__doc__)


def files_fit_in_a_head(files):
    """More than 400 lines do not fit in a head."""
    for path in files:
        if path.suffix in (".hpp", ".cpp", ".ts", ".tsx", ".css", ".sh", ".mjs"):
            lines = (text_of(path) or "").count("\n")
            if lines > 400:
                breach(path.relative_to(source), f"has {lines} lines", files_fit_in_a_head.__doc__)


def mutations_still_apply():
    """A mutation whose text stands nowhere, or twice, tests nothing: bring it up to date."""
    listed = json.loads(text_of(source / "tests/mutations/mutations.json"))["mutations"]
    for mutation in listed:
        times = (text_of(source / mutation["file"]) or "").count(mutation["from"])
        if times != 1:
            breach("tests/mutations/mutations.json", f"{mutation['what']}: its text stands {times} times", mutations_still_apply.__doc__)


all_files = tracked()
pure_rooms_stay_pure()
headers_stay_light(all_files)
rooms_do_not_meet(all_files)
no_way_round_the_include_roots(all_files)
one_name_one_class(all_files)
words_are_spelled_out(all_files)
nothing_of_one_machine(all_files)
files_fit_in_a_head(all_files)
mutations_still_apply()
print("\n".join(breaches) if breaches else f"{len(all_files)} tracked files keep the house rules")
sys.exit(1 if breaches else 0)
