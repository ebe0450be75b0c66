#!/usr/bin/env python3
"""The systemd unit by systemd's own judgement: check_unit.py SOURCE_DIR PROGRAM

`systemd-analyze security` must rate its exposure at 2.0 or less, and must refuse the same unit without its sandbox;
`systemd-analyze verify` must have nothing to say.
"""
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

source, program = pathlib.Path(sys.argv[1]), sys.argv[2]
unit = (source / "conf" / "drumwatch.service").read_text(encoding="utf-8")
complaints = []


def analyze(*arguments):
    return subprocess.run(["systemd-analyze", *arguments], capture_output=True, text=True, timeout=60)


def exposure(path, threshold):
    judged = analyze("security", "--offline=true", "--no-pager", f"--threshold={threshold}", str(path))
    overall = re.search(r"Overall exposure level for \S+: ([\d.]+)", judged.stdout)
    return judged.returncode == 0, float(overall.group(1)) if overall else None


if shutil.which("systemd-analyze") is None:
    sys.exit("systemd-analyze is missing (package systemd)")
with tempfile.TemporaryDirectory() as folder:
    path = pathlib.Path(folder) / "drumwatch.service"
    path.write_text(unit, encoding="utf-8")
    passed, level = exposure(path, 20)
    if not passed or level is None or level > 2.0:
        complaints.append(f"exposure is {level}, at most 2.0 is allowed")
    for needed in ("Type=notify", "WatchdogSec=8", "Restart=always", "RestartSec=1", "StartLimitIntervalSec=0",
                   "Environment=DRUMWATCH_BOOT_ID=%b", "DeviceAllow=char-ttyUSB rw", "DeviceAllow=char-ttyACM rw"):
        if f"\n{needed}\n" not in unit:
            complaints.append(f"{needed} is missing")
    path.write_text(unit.replace("/usr/bin/drumwatch", program), encoding="utf-8")
    verified = analyze("verify", "--man=no", str(path))
    said = [line for line in (verified.stdout + verified.stderr).splitlines() if "drumwatch" in line]
    if said:
        complaints.append("verify says: " + "; ".join(said))
    # The judge itself: without the sandbox it must refuse.
    path.write_text("\n".join(line for line in unit.splitlines() if not re.match(r"(Protect|Private|Restrict|System|Capab|NoNew)", line)),
                    encoding="utf-8")
    passed, bare = exposure(path, 20)
    if passed or bare is None or bare < 4:
        complaints.append(f"without its sandbox the unit is rated {bare}: the check proves nothing")
print("\n".join(complaints) if complaints else f"exposure {level}; without the sandbox {bare}")
sys.exit(1 if complaints else 0)
