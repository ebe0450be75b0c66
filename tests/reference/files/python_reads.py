"""Reads what Drumwatch wrote with Python's own csv, gzip and json modules, and writes a file for it to read.

  python_reads.py csv FILE       one line a row: cells parted by | (a plain or a gzip file)
  python_reads.py target FILE    one line a fact
  python_reads.py write FILE     a roast as csv.gz, by csv.writer and gzip
"""
import csv
import gzip
import json
import sys


def opened(path):
    return gzip.open(path, "rt", newline="", encoding="utf-8") if path.endswith(".gz") else open(
        path, newline="", encoding="utf-8")


def show_csv(path):
    with opened(path) as file:
        for row in csv.reader(file, strict=True):
            print("|".join(cell.replace("\n", "<lf>").replace("\r", "<cr>") for cell in row))


def show_target(path):
    with open(path, encoding="utf-8") as file:
        target = json.load(file)
    print(",".join(target))
    print(target["name"], target["version"], target["status"], target["charge_kg"])
    print(len(target["points"]), target["points"][0], target["points"][-1])
    for name, at in target["milestones"].items():
        print(name, at)
    for move in target["moves"]:
        print(move)
    print(target["drop"], sum(target["tolerance"].values()))


def write_csv(path):
    with gzip.open(path, "wt", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(["elapsed_s", "bean_f", "airflow_pct", "mark", "remark, of the day"])
        for i in range(2400):
            mark = {0: "charge", 2399: "drop"}.get(i, "")
            writer.writerow([i / 4, round(383 - i / 100, 2), 40, mark, 'a "quoted"\nremark' if i == 7 else ""])


{"csv": show_csv, "target": show_target, "write": write_csv}[sys.argv[1]](sys.argv[2])
