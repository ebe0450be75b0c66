"""Holds conf/station.schema.json and the example stations against the independent validator jsonschema.

Each example must be valid; each with one thing spoilt must not be.
"""
import copy
import json
import pathlib
import re
import sys

import jsonschema

conf = pathlib.Path(sys.argv[1])
schema = json.loads((conf / "station.schema.json").read_text(encoding="utf-8"))
jsonschema.Draft202012Validator.check_schema(schema)
validator = jsonschema.Draft202012Validator(schema)


def spoil(path, value):
    def change(station):
        for step in path[:-1]:
            station = station[step]
        station[path[-1]] = value
    return change


SPOILT = [spoil(["tick_ms"], 300), spoil(["tick"], 250), spoil(["limiter"], "none"), spoil(["buses", 0, "kind"], "x"),
          spoil(["channels", 0, "unit"], "C"), spoil(["channels", 0, "name"], "Bean"), spoil(["record"], {}),
          spoil(["web", "port"], 70000), spoil(["alarms", "bean_high_high", "limit_c"], 400)]

checked = 0
for path in sorted(conf.glob("*.json")):
    if path.name.endswith(".schema.json"):
        continue
    text = re.sub(r"^\s*//.*$", "", path.read_text(encoding="utf-8"), flags=re.MULTILINE)
    station = json.loads(text)
    validator.validate(station)
    for number, change in enumerate(SPOILT):
        wrong = copy.deepcopy(station)
        change(wrong)
        if validator.is_valid(wrong):
            sys.exit(f"{path.name}: spoilt in way {number} and still valid")
        checked += 1
if checked < 3 * len(SPOILT):
    sys.exit("too few example stations")
print(checked, "spoilt stations refused")
