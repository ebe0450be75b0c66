#!/usr/bin/env python3
"""drumwatch.json(5) from conf/README.md, so that the two never differ:  man_from_markdown.py conf/README.md

Understands what that file uses: headings, paragraphs, tables whose first column is a key, `code` and **bold**.
"""
import re
import sys


def words(text):
    text = re.sub(r"\[([^\]]+)\]\([^)]+\)", r"\1", text)
    text = text.replace("\\", "\\e").replace("-", "\\-").replace("'", "\\(aq")
    text = re.sub(r"\*\*([^*]+)\*\*", r"\\fB\1\\fR", text)
    return re.sub(r"`([^`]+)`", r"\\fB\1\\fR", text)


def row(line):
    head, rows = line
    key, *rest = rows
    named = [f"{name}: {value}" if name == "default" and value != "required" else value for name, value in zip(head[1:], rest) if value]
    return f'.IP "{words(key)}" 4\n{words("; ".join(named))}'


def paragraph(lines):
    text = words(" ".join(lines))
    return ".PP\n" + ("\\&" + text if text.startswith(".") else text)


print('.TH DRUMWATCH.JSON 5 "" "Drumwatch" "Drumwatch"')
print(".SH NAME\ndrumwatch.json \\- the configuration file of a station\n.SH DESCRIPTION")
waiting, head = [], None
for line in open(sys.argv[1], encoding="utf-8").read().splitlines() + [""]:
    cells = [cell.strip() for cell in line.strip().strip("|").split("|")] if line.startswith("|") else None
    if waiting and (not line.strip() or cells or line.startswith("#")):
        print(paragraph(waiting))
        waiting = []
    if line.startswith("# "):
        continue
    if line.startswith("## "):
        print(".SH " + words(line[3:]).replace("\\fB", "").replace("\\fR", "").upper())
    elif cells and head is None:
        head = cells
    elif cells and not set("".join(cells)) <= set("-: "):
        print(row((head, cells)))
    elif not cells and line.strip():
        waiting.append(line.strip())
    if not cells:
        head = None
print(".SH SEE ALSO\n.BR drumwatch (1)")
