"""The figures of `drumwatch backtest --json`, reckoned once more from its own "files" by Python's statistics and math.

  figures.py < OUTPUT      prints every figure that differs; exit 1 when one does, or when nothing was compared

The mark of first crack is the milestone that the roast's report has; quantiles are statistics.quantiles(method=
"inclusive"); the binomial distribution is summed from math.comb with whole numbers. Nothing is shared with the C++.
"""
import bisect
import json
import math
import statistics
import sys
from fractions import Fraction

LEADS_S = (180, 120, 60, 30)
wrong, compared = [], 0


def same(what, ours, theirs):
    global compared
    compared += 1
    if (ours is None) != (theirs is None) or (ours is not None and abs(ours - theirs) > 0.003):
        wrong.append(f"{what}: {theirs} is said, {ours} reckoned here")


def percentile(values, percent):
    if len(values) < 2:
        return values[0] if values else None
    return statistics.quantiles(values, n=100, method="inclusive")[percent - 1]


def marked(documents):
    for document in documents:
        crack = document["rerun"]["milestones"].get("first_crack")
        if crack and crack["source"] == "mark":
            forecasts = [(f["file_s"], f["file_s"] + f["first_crack_at_s"] - f["now_s"], f["low_s"] - f["first_crack_at_s"],
                          f["high_s"] - f["first_crack_at_s"]) for f in document["rerun"]["forecasts"]]
            yield crack["file_s"], forecasts


def lead_figures(documents, lead, said):
    errors, held, widths, without = [], 0, [], 0
    for crack_s, forecasts in marked(documents):
        now_s = crack_s - lead
        place = bisect.bisect_right([f[0] for f in forecasts], now_s) - 1
        if place < 0 or now_s - forecasts[place][0] > 2:
            without += 1
            continue
        _, instant_s, low, high = forecasts[place]
        errors.append(instant_s - crack_s)
        widths.append(high - low)
        held += instant_s + low <= crack_s <= instant_s + high
    sizes = [abs(error) for error in errors]
    forecast, interval = said["forecast"], said["interval"]
    same(f"{lead} s: roasts", len(errors), forecast["roasts"])
    same(f"{lead} s: without", without, forecast["without"])
    same(f"{lead} s: mean error", statistics.fmean(sizes) if sizes else None, forecast["mean_error_s"])
    same(f"{lead} s: bias", statistics.fmean(errors) if errors else None, forecast["bias_s"])
    same(f"{lead} s: 90th percentile", percentile(sizes, 90), forecast["percentile_90_s"])
    same(f"{lead} s: held", held, interval["held"])
    same(f"{lead} s: width", statistics.fmean(widths) if widths else None, interval["mean_width_s"])
    low, high = chance(len(errors))
    same(f"{lead} s: by chance from", low, interval["by_chance_from"])
    same(f"{lead} s: by chance to", high, interval["by_chance_to"])


def chance(trials):
    """The widest counts that leave at most 2.5 % below and above, for a chance of 4 in 5."""
    at_most, sums = Fraction(0), []
    for k in range(trials + 1):
        at_most += Fraction(math.comb(trials, k) * 4**k, 5**trials)
        sums.append(at_most)
    limit = Fraction(1, 40)
    low = next(k for k in range(trials + 1) if sums[k] > limit)
    high = next(k for k in range(trials, -1, -1) if 1 - (sums[k - 1] if k > 0 else 0) > limit)
    return low, high


def steadiness(documents, said):
    movements, changes = [], []
    for crack_s, forecasts in marked(documents):
        late = {round(f[0], 3): f[1] for f in forecasts if crack_s - 180 <= f[0] <= crack_s}
        steps = [abs(late[s + 1] - late[s]) for s in late if s + 1 in late]
        changes += [abs(late[s + 10] - late[s]) for s in late if s + 10 in late]
        if len(steps) >= 60:
            movements.append(sum(steps) / len(steps))
    same("steadiness: roasts", len(movements), said["roasts"])
    same("steadiness: movement", statistics.median(movements) if movements else None, said["movement_s_per_s"])
    same("steadiness: change", percentile(changes, 95), said["change_in_10_s"])


output = json.load(sys.stdin)
for at, lead_s in enumerate(LEADS_S):
    lead_figures(output["files"], lead_s, output["summary"]["first_crack"][at])
steadiness(output["files"], output["summary"]["steadiness"])
same("marked", len(list(marked(output["files"]))), output["summary"]["first_crack_marked"])
given = [document["rerun"]["verdict"]["disposition"] for document in output["files"]]
for word, count in output["summary"]["verdicts"]["given"].items():
    same(f"verdict {word}", given.count(word), count)
print("\n".join(wrong) if wrong else f"{compared} figures agree")
sys.exit(1 if wrong or compared < 40 or not given else 0)
