"""Makes the seals of a record anew with Python's own hashlib and sqlite3, and unpacks its frames by the description
in record/pack.hpp: an independent reader of what Drumwatch wrote.

  seals.py RECORD    a line for each seal: its number, its roast, its facts and its link, made anew from the rows
                     (the facts of a seal that a later one of the same roast replaces are taken as they stand)
"""
import hashlib
import sqlite3
import sys

QUALITY_WORDS = ["good", "never_read", "stale", "bus_silent", "bad_reply", "open_circuit", "out_of_span", "suspect", "frozen",
                 "short_circuit", "reversed"]


class Bits:
    """Most significant bit first."""

    def __init__(self, body):
        self.text = "".join(format(byte, "08b") for byte in body)
        self.at = 0

    def bits(self, width):
        part = self.text[self.at:self.at + width]
        self.at += width
        return int(part, 2) if part else 0

    def number(self):
        """Groups of four bits, the lowest first, each after one bit that says that more follow."""
        value, shift = 0, 0
        while True:
            more, group = self.bits(1), self.bits(4)
            value |= group << shift
            shift += 4
            if not more:
                return value


def unzigzag(value):
    return value // 2 if value % 2 == 0 else -(value + 1) // 2


def qualities(bits, count):
    if bits.bits(1):
        return ["good"] * count
    words = []
    while len(words) < count:
        word = QUALITY_WORDS[bits.bits(4)]
        words += [word] * (bits.number() + 1)
    return words


def freshness(bits, count):
    kind = bits.bits(2)
    return [bits.bits(1) for _ in range(count)] if kind == 2 else [kind] * count


def values(bits, count):
    divisor = bits.number()
    numbers = [unzigzag(bits.number())]
    low = bits.bits(5)
    for _ in range(count - 1):
        ones = 0
        while ones < 24 and bits.bits(1):
            ones += 1
        difference = bits.bits(34) if ones == 24 else ones << low | bits.bits(low)
        numbers.append(numbers[-1] + unzigzag(difference))
    return [number * divisor for number in numbers]


def frames(from_ms, to_ms, count, body):
    bits = Bits(body)
    channels = bits.bits(5)
    if bits.bits(1):
        step = (to_ms - from_ms) // (count - 1) if count > 1 else 0
        ticks = [from_ms + i * step for i in range(count)]
    else:
        ticks = [from_ms]
        for _ in range(count - 1):
            ticks.append(ticks[-1] + bits.number() + 1)
    columns = []
    for _ in range(channels):
        words = qualities(bits, count)
        fresh = freshness(bits, count)
        columns.append(list(zip(values(bits, count), words, fresh)))
    for i, tick in enumerate(ticks):
        yield tick, [column[i] for column in columns]


def literal(value):
    if value is None:
        return "NULL"
    if isinstance(value, bytes):
        return "X'" + value.hex() + "'"
    return str(value) if isinstance(value, int) else "'" + value.replace("'", "''") + "'"


def row_text(table, row):
    return table + "(" + ",".join(literal(value) for value in row) + ")"


def frame_line(tick, samples):
    return '{"frame":%d,"samples":[%s]}' % (tick, ",".join('[%d,"%s",%d]' % sample for sample in samples))


def minutes(database, watch, first, last):
    texts = {}
    for from_ms, to_ms, count, body in database.execute(
            "SELECT from_ms, to_ms, count, body FROM frames WHERE watch=? ORDER BY from_ms", (watch,)):
        for tick, samples in frames(from_ms, to_ms, count, body):
            if first <= tick <= last:
                texts.setdefault(tick // 60000, "")
                texts[tick // 60000] += "\n" + frame_line(tick, samples)
    return ["frames(%d,%d)%s" % (watch, minute, texts[minute]) for minute in sorted(texts)]


def items(database, roast):
    def rows(table, columns, where, *values):
        return [row_text(table, row) for row in
                database.execute("SELECT %s FROM %s WHERE %s" % (columns, table, where), values)]

    watch, charge, drop, state, target, version = database.execute(
        "SELECT watch, charge_ms, drop_ms, state, target_name, target_version FROM roasts WHERE id=?",
        (roast,)).fetchone()
    first = charge - 60000
    last = charge + 3600000 if drop is None else drop + 300000
    texts = rows("watches", "id,tick_ms,began_at,build,config_hash,begin,channels", "id=?", watch)
    texts += rows("roasts", "id,watch,station,coffee,target_name,target_version,state,charge_ms,drop_ms,charged_at,"
                            "milestones,verdict,reasons,moves", "id=?", roast)
    texts += rows("targets", "name,version,status,coffee,json,stored_at", "name=? AND version=?", target, version)
    texts += rows("events", "id,watch,roast,tick_ms,at_ms,kind,body,text", "roast=? ORDER BY id", roast)
    late = rows("late_facts", "id,roast,kind,value_milli,who,client_id,given_at", "roast=? ORDER BY id", roast)
    if state == "withdrawn":
        return texts + late
    meanwhile = "watch=? AND tick_ms BETWEEN ? AND ? ORDER BY id"
    texts += rows("commands", "id,watch,tick_ms,kind,body,who,client_id,wall_ms", meanwhile, watch, first, last)
    texts += rows("observations", "id,watch,tick_ms,health,idx,bad", meanwhile, watch, first, last)
    return texts + late + minutes(database, watch, first, last)


def main():
    database = sqlite3.connect("file:" + sys.argv[1] + "?mode=ro", uri=True)
    seals = database.execute("SELECT id, roast, made_at, facts, clues FROM seals ORDER BY id").fetchall()
    last = {roast: number for number, roast, *_ in seals}
    link = ""
    for number, roast, made, facts, clues in seals:
        if last[roast] == number:  # an earlier one is of rows that have changed since
            sums = [hashlib.sha256(text.encode()).digest() for text in items(database, roast)]
            facts = hashlib.sha256(b"".join(sums)).hexdigest()
            clues = b"".join(part[:4] for part in sums)
        text = "%s\nseals(%d,%d,%d,'%s',X'%s')" % (link, number, roast, made, facts, clues.hex())
        link = hashlib.sha256(text.encode()).hexdigest()
        print(number, roast, facts, link)


main()
