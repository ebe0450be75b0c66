"""Points of the direct functions over each type's whole range, from the published coefficients in 60-digit
decimal arithmetic (Python's decimal module: nothing of the product's is used). Computed, not printed.
Writes computed_points.csv; run by hand."""
import csv
import pathlib
from decimal import Decimal, getcontext

getcontext().prec = 60
here = pathlib.Path(__file__).parent


def rows(name):
    with open(here / name, newline="") as file:
        return list(csv.DictReader(file))


pieces = {}
for row in rows("its90_direct.csv"):
    span = (Decimal(row["range_low_c"]), Decimal(row["range_high_c"]))
    pieces.setdefault(row["type"], {}).setdefault(span, []).append(
        (int(row["order"]), Decimal(row["coefficient_mV"])))
bump = {row["name"]: Decimal(row["value"]) for row in rows("its90_type_k_exponential.csv")}


def millivolts(letter, celsius):
    for (low, high), terms in pieces[letter].items():
        if low <= celsius <= high:
            total = sum(c * celsius**order if order else c for order, c in terms)
            if letter == "K" and celsius > 0:
                total += bump["a0"] * (bump["a1"] * (celsius - bump["a2"]) ** 2).exp()
            return total
    raise ValueError(celsius)


with open(here / "computed_points.csv", "w", newline="") as file:
    out = csv.writer(file, lineterminator="\n")
    out.writerow(["type", "temperature_c", "emf_mv"])
    for letter, of in pieces.items():
        low, high = min(of)[0], max(of)[1]
        spread = {low + (high - low) * i / 60 for i in range(61)}
        joints = {end + off for _, end in of for off in (Decimal("-0.5"), Decimal("0.5")) if end < high}
        for celsius in sorted(round(t, 3) for t in spread | joints):
            out.writerow([letter, f"{celsius:.3f}", f"{millivolts(letter, celsius):.12f}"])
