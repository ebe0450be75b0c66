"""The figures of `drumwatch alarms --json`, reckoned once more from what happened: `--csv` of the same period.

  figures.py REPORT.json CHANGES.csv     prints every figure that differs; exit 1 when one does, or too few were compared

From the report come only the period, the spans that were watched and the roasts. Counting is done the plain way, instant
by instant; quantiles are statistics.quantiles(method="inclusive"). Nothing is shared with the C++.
Definitions: ANSI/ISA-18.2 and EEMUA 191, from memory and secondary sources; those of roasts are the project's own.
"""
import csv
import json
import statistics
import sys
from datetime import datetime

report = json.load(open(sys.argv[1], encoding="utf-8"))
with open(sys.argv[2], encoding="utf-8", newline="") as file:
    rows = list(csv.DictReader(file))
wrong, compared = [], 0


def same(what, ours, theirs):
    global compared
    compared += 1
    numbers = isinstance(ours, (int, float)) and isinstance(theirs, (int, float))
    if not (abs(ours - theirs) <= 0.0011 if numbers else ours == theirs):
        wrong.append(f"{what}: {theirs} is said, {ours} reckoned here")


def instant(text):
    return datetime.fromisoformat(text.replace("Z", "+00:00")).timestamp()


START, END = instant(report["from_utc"]), instant(report["to_utc"])
WATCHED = [(instant(span["from_utc"]), instant(span["to_utc"])) for span in report["watched"]]
FIGURES = {figure["name"]: figure["value"] for figure in report["figures"]}
MINUTE, HOUR = 60, 3600


def watched(a, b):
    return sum(max(0, min(b, END, to) - max(a, START, begin)) for begin, to in WATCHED)


class Alarm:
    def __init__(self, row):
        self.rule, self.priority, self.day = row["alarm"], row["priority"], row["time_local"][:10]
        self.roast = row["roast"]
        self.raised = instant(row["time_utc"])
        self.ended = self.answered = self.shelved = None
        self.alone = False

    def end(self):
        return END if self.ended is None else self.ended


def read_alarms():
    alarms, numbered = [], {}
    for row in rows:
        now, what = instant(row["time_utc"]), row["change"]
        if what == "raised":
            numbered[row["occurrence"]] = Alarm(row)
            alarms.append(numbered[row["occurrence"]])
        elif what == "forgotten":
            for alarm in numbered.values():
                alarm.ended = now if alarm.ended is None else alarm.ended
        elif row["occurrence"] in numbered:
            alarm = numbered[row["occurrence"]]
            if what in ("cleared", "suppressed", "out_of_service") and alarm.ended is None:
                alarm.ended, alarm.alone = now, what == "cleared"
            if what in ("acknowledged", "reset") and alarm.answered is None:
                alarm.answered = now
            if what == "shelved" and alarm.shelved is None:
                alarm.shelved = now
    return alarms


ALARMS = read_alarms()
ONSETS = [alarm.raised for alarm in ALARMS]


def in_ten_minutes(now):
    return sum(now - 10 * MINUTE < onset <= now for onset in ONSETS)


def load():
    """Between an onset, or one that is ten minutes old, and the next such instant nothing changes."""
    instants = sorted({onset + age for onset in ONSETS for age in (0, 10 * MINUTE)} | {END})
    flood_since, floods, crowded = None, [], 0
    for now, after in zip(instants, instants[1:] + [END]):
        count = in_ten_minutes(now)
        if count > 10:
            crowded += watched(now, after)
            flood_since = now if flood_since is None else flood_since
        if flood_since is not None and (count < 5 or now >= END):
            floods.append((flood_since, min(now, END)))
            flood_since = None
    total = watched(START, END)
    same("most in ten minutes", max([in_ten_minutes(onset) for onset in ONSETS], default=0), FIGURES["most_in_10_minutes"])
    same("crowded share", 100 * crowded / total, FIGURES["crowded_share"])
    same("floods", floods, [(instant(flood["from_utc"]), instant(flood["to_utc"])) for flood in report["floods"]])
    same("number of floods", len(floods), FIGURES["floods"])
    same("longest flood", max([b - a for a, b in floods], default=0) / MINUTE, FIGURES["longest_flood"])
    same("flood share", 100 * sum(watched(a, b) for a, b in floods) / total, FIGURES["flood_share"])
    same("watched", total, report["watched_s"])
    same("per ten minutes", len(ALARMS) * 10 * MINUTE / total, FIGURES["per_10_minutes"])


def days():
    counts = {day["day"]: day["alarms"] for day in report["days"]}
    for day, count in counts.items():
        same(day, sum(alarm.day == day for alarm in ALARMS), count)
    same("alarms on all days", len(ALARMS), sum(counts.values()))
    same("per day", len(ALARMS) / len(counts), FIGURES["per_day"])
    same("most in a day", max(counts.values()), FIGURES["most_in_a_day"])
    for day in report["days"]:  # midnight to midnight, of a zone whose offset is that of the day's alarms
        same(f"{day['day']} priorities", [sum(a.day == day["day"] and a.priority == p for a in ALARMS) for p in ("high", "medium", "low")],
             list(day["priorities"].values()))


def roasts():
    roasting, inside, clear, in_clear = 0, 0, 0, 0
    for roast in report["roasts"]:
        count = sum(alarm.roast == str(roast["roast"]) for alarm in ALARMS)
        same(f"roast {roast['roast']}", count, roast["alarms"])
        roasting += watched(instant(roast["from_utc"]), instant(roast["to_utc"]))
        inside += count
        clear += roast["clear"]
        in_clear += count if roast["clear"] else 0
    same("per roast", inside / len(report["roasts"]), FIGURES["per_roast"])
    same("per clear roast", in_clear / clear if clear else None, FIGURES["per_good_roast"])
    same("per ten minutes roasting", inside * 10 * MINUTE / roasting, FIGURES["per_10_minutes_roasting"])


def chatter(rule):
    onsets = [alarm.raised for alarm in ALARMS if alarm.rule == rule]
    third = [sum(now - MINUTE < onset <= now for onset in onsets) >= 3 for now in onsets]
    return sum(now and not before for now, before in zip(third, [False] + third))


def fleeting(alarm):
    helped = any(by is not None and by <= alarm.end() for by in (alarm.answered, alarm.shelved))
    return alarm.alone and alarm.ended - alarm.raised <= 10 and not helped


def whole_roasts(alarm):
    return sum(roast["dropped"] and instant(roast["from_utc"]) >= alarm.raised and instant(roast["to_utc"]) <= alarm.end()
               for roast in report["roasts"])


def rules():
    totals = dict.fromkeys(("chattering", "fleeting", "stale_roasts", "unacknowledged"), 0)
    for said in report["rules"]:
        own = [alarm for alarm in ALARMS if alarm.rule == said["rule"]]
        ours = {"alarms": len(own), "share_pct": 100 * len(own) / len(ALARMS), "chattering": chatter(said["rule"]),
                "fleeting": sum(map(fleeting, own)), "stale": sum(alarm.end() - alarm.raised > 24 * HOUR for alarm in own),
                "stale_roasts": sum(whole_roasts(alarm) >= 2 for alarm in own),
                "unacknowledged": sum(alarm.answered is None for alarm in own)}
        for key, value in ours.items():
            same(f"{said['rule']}, {key}", value, said[key])
        for key in totals:
            totals[key] += ours[key]
    for key, value in totals.items():
        same(key, value, FIGURES[key])
    counts = [rule["alarms"] for rule in report["rules"]]
    same("the most frequent first", sorted(counts, reverse=True), counts)
    same("rules", {alarm.rule for alarm in ALARMS}, {rule["rule"] for rule in report["rules"]})
    same("top ten", 100 * sum(sorted(counts)[-10:]) / len(ALARMS), FIGURES["top_ten_share"])


def answers():
    waits = sorted(alarm.answered - alarm.raised for alarm in ALARMS if alarm.answered is not None)
    same("median", statistics.median(waits), FIGURES["median_acknowledge"])
    same("90 in 100", statistics.quantiles(waits, n=10, method="inclusive")[8], FIGURES["percentile_90_acknowledge"])
    same("acknowledged", len(waits), report["acknowledged"])
    for priority, count in report["raised"].items():
        same(priority, sum(alarm.priority == priority for alarm in ALARMS), count)
        same(f"{priority} %", 100 * count / len(ALARMS), FIGURES[f"raised_{priority}"])


def shelving():
    shelved = [(int(row["roast"] or 0), row["alarm"]) for row in rows if row["change"] == "shelved"]
    again = {where: shelved.count(where) - 1 for where in shelved if where[0] and shelved.count(where) > 3}
    same("shelved again", again, {(one["roast"], one["rule"]): one["again"] for one in report["reshelved"]})
    same("without a name", sum(row["change"] in ("shelved", "out_of_service") and not row["who"] for row in rows), FIGURES["nameless"])


same("alarms", len(ALARMS), report["alarms"])
for part in (load, days, roasts, rules, answers, shelving):
    part()
print("\n".join(wrong) if wrong else f"{compared} figures agree")
sys.exit(1 if wrong or compared < 60 else 0)
