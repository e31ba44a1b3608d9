"""How many lines are understood: ``python -m tests.text.jottings_score FILE.csv [--wrong] [--paste] [--refused]``.

A line stands below its card, a day and the lines before it; what must be understood of it is given as facts. A line is
*right* when it is read without an error and says exactly those facts, *offered* when one of the whole lines that are
offered says them, *refused* when nothing is read, *wrong* when it is read without an error and says something else.
*Wrong by paste* are offered lines of which none says what was meant, and any that still has a problem when pasted.
"""

from __future__ import annotations

import csv
import json
import re
import sys
import time
from collections import Counter
from collections.abc import Iterable, Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

from logbook.job.ledger import build
from logbook.job.stated import known_states
from logbook.problems import Weight
from logbook.text.entries import Entry, Log, Subject, Value, Written
from logbook.text.reader import read
from logbook.text.vocabulary import KINDS
from logbook.units import UNITS

HERE = Path(__file__).resolve().parent / "jottings"
OUTCOMES = ("right", "offered", "refused", "mispasted", "wrong")
_NO_DROP = {"none": "dead", "zero": "dead", "0": "dead", "misses": "dead", "ok": "fires"}
_INJECTOR = frozenset({"pulse", "flow", "spray", "drip", "click"})
_DONE = frozenset({"swap", "move", "fit", "remove", "clean", "repair", "put back", "unplug", "reconnect", "adjust"})
_AS_GOOD = (  # kinds that say the same, as the table has grown since the lines were judged
    {"boost", "pull"}, {"mixture", "pull"}, {"look", "bore look"},
    {"crank", "cranking speed"}, {"resistance", "sensor"}, {"adjust", "points gap"}, {"swap", "fit"},
)  # fmt: skip
_MEANS: dict[str, tuple[str, ...]] = {  # other words for the same
    "good": ("strong", "flashes", "clicks", "ok", "fires", "cone"), "brown": ("tan",), "knocks": ("knock",),
    "leak": ("leaks",), "beforetop": ("btdc",), "startup": ("onstartup",),
    "fullload": ("throttleopen", "load"), "snap": ("rev", "revving"), "held": ("after",), "done": ("",),
    "misses": ("dead",), "stream": ("jet",),
    "returned": ("",), "unplugged": ("",), "reconnected": ("",),
    "scrap": ("",), "sold": ("",), "sent": ("",), "keyon": ("key-on", "keyon"), "running": ("running",),
    "atrest": ("rest",),
    "engineoff": ("rest", "keyoff"), "crankcase": ("oil-filler",), "black": ("sooty",), "warm": ("hot",),
}  # fmt: skip
_IN_WORDS = frozenset(
    {"private", "plan", "guess", "smell", "note", "road", "caution", "clue"}
)  # kept as they stand, never evidence
_TOLD = frozenset(
    {"symptom", "came back", "waiting", "arrived", "order", "handed over", "promised"}
)  # text of what somebody said
_NAMES = {  # what strangers to the table of kinds called them
    "come-back": "came back", "cam lift": "lift", "point gap": "points gap", "bought": "spent", "paid": "spent",
    "road test": "road", "pop pressure": "opening pressure",
}  # fmt: skip
Fact = tuple[Any, ...]


def rows(path: Path) -> Iterator[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as file:
        yield from csv.DictReader(file)


def log_with(row: dict[str, str], line: str) -> tuple[Log, int]:
    """The log of one row with this last line, and the number of that line."""
    card = (HERE / "cards" / f"{row['setting']}.txt").read_text(encoding="utf-8").rstrip("\n")
    before = [b for b in row["before"].split(" | ") if b]
    lines = [*card.split("\n"), "", "2026-05-12", *before]
    text = "\n".join([*lines, line]) + "\n"
    return read("x.txt", text.encode()), len(lines) + 1


def judged(row: dict[str, str]) -> tuple[str, str]:
    """What came of a line, and why it is not right."""
    expected = json.loads(row["expect"])
    if row["class"] == "note":
        expected = {"kind": "note"}
    log, number = log_with(row, row["line"])
    wrong = differences(expected, log, number)
    here = [p for p in log.problems if _line_of(log, p.span.start) >= number]
    errors = [p for p in here if p.weight is Weight.ERROR]
    if not errors:
        if not wrong:
            return "right", ""
        nothing = not any(e.line >= number for e in log.entries) and not any(d.line >= number for d in log.days)
        return ("refused" if nothing else "wrong"), wrong
    pastes = [_pasted(row, expected, c) for p in errors for c in p.choices]
    if "" in pastes and not any(p.startswith("still") for p in pastes):
        return "offered", ""
    said = f"{errors[0].message} {errors[0].mend} {[c for p in errors for c in p.choices]}"
    return ("mispasted", f"{pastes} {said}") if pastes else ("refused", said)


def _pasted(row: dict[str, str], expected: dict[str, Any], choice: str) -> str:
    """What is wrong with a whole line that is offered, once it stands where the line stood."""
    log, number = log_with(row, choice)
    bad = [p for p in log.problems if p.weight is not Weight.HINT and _line_of(log, p.span.start) >= number]
    return f"still {bad[0].message}" if bad else differences(expected, log, number)


def _line_of(log: Log, at: int) -> int:
    return log.text.count("\n", 0, at) + 1


def differences(expected: dict[str, Any], log: Log, number: int) -> str:
    """What the lines from ``number`` on say otherwise than was expected; '' where they say it."""
    entries = [e for e in log.entries if e.line >= number]
    wanted = [{k: v for k, v in expected.items() if k != "also"}, *_also(expected)]
    wanted = [_named(w, entries) for w in wanted]
    if expected["kind"] == "day":
        days = [d for d in log.days if d.line >= number]
        return "" if days and str(days[-1].day) == expected["date"] else f"day {days}"
    if expected["kind"] == "note":
        return "" if all(e.kind in _IN_WORDS | _TOLD for e in entries) else f"heard {[e.kind for e in entries]}"
    if not entries:
        return "nothing read"
    wanted = list(_set_to(wanted))
    states = known_states(build(log))
    kinds = {w["kind"] for w in wanted} | ({"hours"} if "hours" in expected else set())
    kinds |= {"spent"} if "money" in expected else set()
    if {"got", "sent", "returned"} & kinds and "money" in expected:
        kinds |= {"got", "sent"}  # parts that were sold left, and money came in
    other = [e.kind for e in entries if not any(_as_good(e.kind, k) for k in kinds)]
    if other:
        return f"says {other}"
    for want in wanted:
        if want["kind"] == "look" and _stands_in_remarks(want, entries):
            continue
        same = [e for e in entries if _as_good(e.kind, want["kind"])]
        if not same:
            return f"no {want['kind']}"
        if bad := _compared(want, same, entries, log, states):
            return f"{want['kind']}: {bad}"
    return ""


def _named(want: dict[str, Any], entries: list[Entry]) -> dict[str, Any]:
    """The expectation with its kind as the table names it; money that went out is 'spent'; a vehicle is bought."""
    kind = _NAMES.get(want["kind"], want["kind"])
    if want["kind"] == "bought" and any(e.kind == "bought" for e in entries):
        kind = "bought"
    facts = [
        {**f, "at": re.sub(r"^(?:main|rod) (?=\d)", "", f["at"])} if "at" in f else f for f in want.get("facts", ())
    ]
    return {**want, "kind": kind, **({"facts": facts} if facts else {})}


def _as_good(one: str, other: str) -> bool:
    return one == other or any({one, other} <= many for many in _AS_GOOD)


def _stands_in_remarks(want: dict[str, Any], entries: list[Entry]) -> bool:
    """Whether all that was looked at stands in the remark of a reading at the same place: 'A7 none (stuck shut)'."""
    there = [
        (s.name or str(s.number), w.value.remark) for e in entries for w in e.readings if w.value for s in w.subjects
    ]
    return bool(want.get("facts")) and all(
        any(f.get("at") == at and f.get("word", "?") in remark for at, remark in there) for f in want["facts"]
    )


def _set_to(wanted: list[dict[str, Any]]) -> Iterator[dict[str, Any]]:
    """A gap that was found and what it was set to are two readings of that gap."""
    found = next((w for w in wanted if w["kind"] in ("points gap", "timing")), None)
    to = [w for w in wanted if w["kind"] == "adjust"]
    for want in wanted:
        if want is found and to:
            yield {**want, "facts": [*want["facts"], *to[0]["facts"]]}
        elif found is None or want not in to:
            yield want


def _also(expected: dict[str, Any]) -> Iterator[dict[str, Any]]:
    for more in expected.get("also", ()):
        yield more
        yield from _also(more)


def _compared(want: dict[str, Any], entries: list[Entry], everything: list[Entry], log: Log, states: Any) -> str:
    if bool(want.get("proved")) != any(e.proved for e in entries):
        return "a proof or none"
    if bool(want.get("corrects")) != any(e.correct for e in entries):
        return "a correction or none"
    if want["kind"] in _IN_WORDS:
        return ""  # kept as it stands
    said = [f for e in entries for f in facts(e, log, states)]
    if want["kind"] == "boost":
        said = [("engine" if f[0] == "boost" else f[0], *f[1:]) for f in said]
    due = [_wanted(f, want["kind"], log) for f in want.get("facts", ())]
    due = [f for many in due for f in many]
    due = [f for f in due if f[1:3] not in ((None, "moved"), (None, "same"))]
    if want["kind"] == "cause":
        said, due = [(f[0].removeprefix("old "),) for f in said], [(f[0],) for f in due]
    if want["kind"] in ("fit", "swap", "move"):  # where it was done stands in the moves
        due = [
            f for f in due if f[1] is not None or f[2] or not any(f[0] in m for m in _moves(entries, places_of(log)))
        ]
    if want["kind"] in _DONE and not any(f[1] is not None or f[2] for f in due):
        said = [f for f in said if f[1] is None and not f[2]] or said
    if bad := _unmatched(due, said, want["kind"]):
        return bad
    for word in (f.get("word") for f in want.get("facts", ()) if f.get("word") in ("same", "moved")):
        if not any(e.now_word == word or (e.now and word == "moved") or (e.now and word == "same") for e in entries):
            return f"no {word}"
    part = "" if "money" in want or want["kind"] in _IN_WORDS else want.get("part", "")
    if want["kind"] == "voltage drop" or all(re.fullmatch(r"[A-Z]\d+", f[0]) for f in due if len(f) > 1 and due):
        part = part if want["kind"] != "voltage drop" and not due else ""  # the strap and the tag say it
    heard = (
        {q for e in entries for q in e.qualifiers}
        | {"sensor" for e in entries if e.kind == "sensor" or "sensor" in e.qualifiers}
        | {e.part or next((w.part for w in e.readings if w.part), "") for e in entries}
    )
    if part == "injector" and want["kind"] in _INJECTOR and heard == {""}:
        part = ""  # what the kind means by itself
    if part and part not in heard and KINDS.get(want["kind"]) and "PART" in KINDS[want["kind"]].qualifiers:
        return f"part {heard}"
    if "moves" in want and Counter(_moves(entries, places_of(log))) != Counter(
        tuple(map(str, m)) for m in want["moves"]
    ):
        swapped = Counter((p, b, a) for p, a, b in _moves(entries, places_of(log)))
        if want["kind"] not in ("swap", "put back") or swapped != Counter(tuple(map(str, m)) for m in want["moves"]):
            return f"moves {_moves(entries, places_of(log))}"
    if "money" in want and abs(_money(everything) - want["money"]) > 0.005:
        return f"money {_money(everything)}"
    if "hours" in want and abs(_hours(everything) - want["hours"]) > 0.005:
        return f"hours {_hours(everything)}"
    return ""


def _unmatched(due: list[Fact], said: list[Fact], kind: str) -> str:
    left = list(said)
    for fact in due:
        match = next((s for s in left if _same(fact, s) and not (len(fact) > 1 and _borrowed(fact, s, due))), None)
        if match is None:
            if (
                fact[1:2] == (None,)
                and fact[2]
                and any(fact[0] == s[0] and fact[2] in (s[2] or "").split() for s in said)
            ):
                continue
            return f"lacks {_shown(fact)}, says {[_shown(s) for s in said][:9]}"
        left.remove(match)
    left = [s for s in left if len(s) == 1 or s[2] != "not done"]  # where a corrected reading stood before
    if kind == "plug look":  # a plug has many words, of which the expectation may name one
        left = [s for s in left if not any(s[0] == f[0] for f in due)]
    if left and (due or kind in ("cut-out", "firing")):
        extra = [s for s in left if (s[1] is not None or s[2]) and not (kind == "swap" and s[2] in ("fires", "weak"))]
        if extra:
            return f"adds {[_shown(s) for s in extra][:6]}"
    return ""


def _shown(fact: Fact) -> str:
    return " ".join(str(f) for f in fact if f not in (None, "", (), frozenset()))


def _borrowed(due: Fact, said: Fact, all_due: list[Fact]) -> bool:
    """Whether a reading was given a condition that belongs to another one."""
    others = {c for f in all_due for c in f[3]} - set(due[3])
    return any(s in others for s in said[3])


def _same(due: Fact, said: Fact) -> bool:
    if len(due) == 1:
        return due[0] == said[0]
    at, number, word, conditions, doubt = due
    s_at, s_number, s_word, s_conditions, s_doubt = said
    if at != s_at or doubt != s_doubt:
        return False
    if number is not None and (s_number is None or not _equal(number, s_number)):
        return False
    if word == "weak" and s_word == "orange":
        word = s_word  # what a weak spark looks like
    if (
        word
        and word != s_word
        and not ({word, *_MEANS.get(word, ())} & {*(s_word or "").split(), s_word, *s_conditions})
    ):
        return False
    if number is None and s_number is not None and not (word == "dead" and s_number[0] == 0):
        return False
    said_how = {*s_conditions, *(s_word or "").split()}
    return all(any({c, *_MEANS.get(c, ())} & {s} or c in s for s in said_how) for c in conditions)


def _equal(due: tuple[Any, ...], said: tuple[Any, ...]) -> bool:
    """In SI where the expectation names a unit; else as written, and about where it is about."""
    *numbers, has_unit, bound = due
    *both, said_bound = said
    if bound != said_bound:
        return False
    return _near(numbers, both[:2]) or (not has_unit and _near(numbers, both[2:]))


def _near(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    return all(abs(a - b) <= 1e-4 * max(1e-6, abs(a)) for a, b in zip(one, other, strict=True))


def _fold(word: str) -> str:
    return re.sub(r"[-\s]", "", word).casefold()


def _wanted(fact: dict[str, Any], kind: str, log: Log) -> Iterator[Fact]:
    row = KINDS.get(kind)
    placed = row is not None and row.subjects in ("cyl", "part", "bolt", "bearing")
    fact = {"at": "all" if placed else "engine", **fact}
    number = None
    unit = UNITS.get(fact.get("unit", ""))
    if "value" in fact:
        number = (fact["value"], fact["value"])
    elif "low" in fact:
        number = (fact["low"], fact["high"])
    bound = fact.get("bound") or ("about" if fact.get("about") else "")
    if number and unit:
        number = (unit.to_si(number[0]), unit.to_si(number[1]), True, bound)
    elif number:
        number = (*map(float, number), False, bound)
    word = fact.get("word", "")
    if kind in ("cut-out", "firing", *_DONE):
        word = _NO_DROP.get(word, word)
    if kind == "cut-out" and number and number[0] == 0.0:
        number, word = None, "dead"
    conditions = tuple(_fold(c) for c in fact.get("cond", ()))
    ats = [fact["at"]]
    if run := re.fullmatch(r"(\d+)-(\d+)", fact["at"]):
        ats = [str(n) for n in range(int(run[1]), int(run[2]) + 1)]
    if kind == "pull":
        conditions = tuple(c for c in conditions if not c.endswith("rpm"))
    if kind == "codes" and (cylinder := re.fullmatch(r"P030([1-9])", word)):
        ats = [cylinder[1]]  # the code itself names its cylinder
    if kind == "parts":
        word = ""  # the donor stands behind 'from'
    if kind == "vacuum" and number and fact.get("unit") == "in":
        inches = [UNITS["inHg"].to_si(fact[k]) for k in (("value", "value") if "value" in fact else ("low", "high"))]
        number = (*inches, True, bound)
    if fact["at"] == "all" and kind in KINDS and KINDS[kind].subjects in ("cyl", "part", "any", "swap", "fit"):
        ats = [str(n) for n in range(1, places_of(log) + 1)]
    if kind == "voltage drop":
        ats = ["strap" if fact["at"] in ("ground strap", "engine") else fact["at"]]
    for at in ats:
        yield at, number, word, conditions, bool(fact.get("doubt"))


def places_of(log: Log) -> int:
    engines = build(log).engines
    return len(engines[0].cylinders) if engines else 0


def facts(entry: Entry, log: Log, states: Any) -> list[Fact]:
    """The facts of an entry as (at, numbers in SI, word, conditions, doubt)."""
    conditions = tuple(_fold(c.text) for c in entry.conditions) + tuple(_fold(q) for q in entry.qualifiers)
    found: list[Fact] = [("engine", None, w, conditions, False) for w in entry.words]
    if entry.index in states:
        return [(str(n), None, _NO_DROP.get(w, w), conditions, False) for n, w in states[entry.index]]
    worked = [x for w in entry.readings for x in (w.to or w.subjects) if x.kind == "place"]
    now = tuple(w if w.subjects else w._replace(subjects=tuple(worked)) for w in entry.now)
    for written in now or entry.readings:
        if entry.kind in ("swap", "move", "fit") and not entry.now:
            continue
        found += _facts_of(written, entry, log, conditions)
    return found


def _facts_of(written: Written, entry: Entry, log: Log, conditions: tuple[str, ...]) -> Iterator[Fact]:
    number, word, doubt = _value(written.value, entry)
    words = [word] if word else []
    if written.value and entry.kind in ("leak-down", "plug look", "vacuum", "timing", "idle", "fuel pressure"):
        words += [w for w in written.value.remark_words if w not in words]
    if entry.kind == "codes" and written.value:
        conditions = (*conditions, _fold(written.value.remark), *map(_fold, written.value.remark.split(",")))
    slots = tuple(_fold(s.name) for s in written.subjects if s.kind == "slot")
    subjects = [s for s in written.subjects if s.kind != "slot"] or [None]
    named = {at for w in (entry.now or entry.readings) for s in w.subjects if s.kind != "rest" for at in _at(s, log)}
    at_all = entry.kind not in ("cut-out", "firing", *_DONE)
    for subject in subjects:
        ats = _places(subject, entry, log, named, at_all, word)
        for at in ats:
            if entry.kind == "voltage drop" and at == "engine":
                at = " ".join(entry.qualifiers)
            if entry.kind == "sensor" and at == "engine":
                at = f"{entry.qualifiers[0] if entry.qualifiers else ''} sensor"
            if entry.kind == "boost" or (entry.kind in ("mixture", "pull") and at == "boost"):
                at = "engine"
            if entry.kind == "pull" and not slots and entry.qualifiers:
                slots = (_fold(entry.qualifiers[0]),)
            if slots and at == "engine" and KINDS[entry.kind].subjects in ("slots", "pull", "free slots"):
                slot = slots[0]
                at = (
                    "engine"
                    if (entry.kind == "idle" and slot == "rpm")
                    else {"intakeair": "intake-air"}.get(slot, slot)
                )
                yield at, number, " ".join(words), conditions, doubt
            elif entry.kind == "plug look":
                for word in words or [""]:
                    yield at, number, word, (*conditions, *slots), doubt
            else:
                yield at, number, " ".join(words), (*conditions, *slots), doubt


def _places(
    subject: Subject | None, entry: Entry, log: Log, named: set[str], at_all: bool, word: str = ""
) -> list[str]:
    if subject is None:
        if entry.kind == "codes":
            return [f"{int(word[3:])}" if re.fullmatch(r"P030[1-9]", word) else "engine"]
        kind = KINDS[entry.kind].subjects
        if kind in ("cyl", "part"):
            return [str(n) for n in range(1, places_of(log) + 1)]
        return ["all"] if kind in ("bolt", "bearing") else ["engine"]
    if subject.kind == "rest":
        tags = _tags(log, named)
        return tags or [str(n) for n in range(1, places_of(log) + 1) if str(n) not in named]
    if subject.kind == "all" and KINDS[entry.kind].subjects in ("bolt", "bearing"):
        return ["all"]
    return _at(subject, log, not at_all or KINDS[entry.kind].subjects in ("cyl", "part"))


def _tags(log: Log, named: set[str]) -> list[str]:
    """All tags of the stock from which tags are named."""
    letters = {n[0] for n in named if n[:1].isalpha() and n[1:].isdigit()}
    declared = [s.name for e in log.entries if e.kind == "parts" for w in e.readings for s in w.subjects]
    return [t for t in declared if t[0] in letters and t not in named]


def _at(subject: Subject, log: Log, opened: bool = False) -> list[str]:
    engines = build(log).engines
    engine = engines[0] if engines else None
    if subject.kind == "bank":
        bank = next((b for b in engine.banks if b.name == subject.name), None) if engine and opened else None
        return [str(c) for c in bank.cylinders] if bank else [subject.name]
    if subject.kind == "all":
        return [str(n) for n in range(1, places_of(log) + 1)]
    if subject.kind in ("odd", "even") and engine:
        return [str(c) for c in engine.cylinders if c % 2 == (subject.kind == "odd")]
    if subject.kind == "old":
        return [f"old {subject.number}"]
    return [subject.name or f"{subject.number}{subject.letter}"]


def _value(value: Value | None, entry: Entry) -> tuple[Any, str, bool]:
    if value is None:
        return None, "", False
    word = value.word
    if entry.kind in ("cut-out", "firing", *_DONE):
        word = _NO_DROP.get(word, word)
    quantity = value.quantity
    if quantity is None:
        return None, word, value.doubted
    unit = UNITS.get(quantity.unit)
    low, high = float(quantity.low), float(quantity.high)
    if entry.kind == "cut-out" and low == high == 0:
        return None, "dead", value.doubted
    si = (unit.to_si(low), unit.to_si(high)) if unit else (low, high)
    return (*si, low, high, quantity.bound or ("about" if quantity.about else "")), word, value.doubted


def _moves(entries: Iterable[Entry], places: int = 0) -> list[tuple[str, ...]]:
    found: list[tuple[str, ...]] = []
    for e in entries:
        for w in e.readings:
            who = [_name(s) for s in w.subjects]
            to = [_name(s) for s in w.to]
            to = [str(n) for n in range(1, places + 1)] if to == ["all"] else to
            if e.kind == "put back":
                found.append((e.part, *who[:2]))
            elif e.kind == "fit" and not to:
                found.append((e.part, who[0] if who else "new", ""))
            elif len(who) == len(to):
                found += [(e.part, a, b) for a, b in zip(who, to, strict=True)]
            elif len(who) == 1:
                found += [(e.part, who[0], b) for b in to]
    return found


def _name(s: Subject) -> str:
    return f"old {s.number}" if s.kind == "old" else "all" if s.kind == "all" else s.name or f"{s.number}"


def _money(entries: Iterable[Entry]) -> float:
    total = Decimal(0)
    for e in entries:
        for w in e.readings:
            if w.value and w.value.quantity:
                each = "each" in w.value.remark_words or "each" in w.value.remark.split()
                total += w.value.quantity.middle * (w.pieces or (max(1, len(w.subjects)) if each and w.subjects else 1))
        if e.kind in ("donor", "order") and (m := re.search(r"\$(\d+)|bought (\d+)|(\d+) (?:eur|usd|bucks)", e.text)):
            total += Decimal(next(g for g in m.groups() if g))
        elif e.kind == "donor":
            for w in e.readings:
                if any(s.name == "bought" for s in w.subjects) and (m := re.search(r"[\d.]+", w.text)):
                    total += Decimal(m.group())
    return float(total)


def _hours(entries: Iterable[Entry]) -> float:
    total = 0.0
    for e in entries:
        for w in e.readings:
            if w.value and w.value.quantity and e.kind == "hours":
                q = w.value.quantity
                total += float(q.middle) / (60 if q.unit == "min" else 1)
    return total


def scores(path: Path) -> tuple[dict[str, Counter[str]], list[tuple[dict[str, str], str, str]], float]:
    """By class, how many lines came to what; the lines that are not right; seconds a line."""
    table: dict[str, Counter[str]] = {}
    missed = []
    begun, count = time.perf_counter(), 0
    for row in rows(path):
        outcome, why = judged(row)
        count += 1
        table.setdefault(row["class"], Counter())[outcome] += 1
        if outcome not in ("right",):
            missed.append((row, outcome, why))
    return table, missed, (time.perf_counter() - begun) / max(count, 1)


def main(arguments: list[str]) -> None:
    table, missed, each = scores(Path(arguments[0]))
    for name, counter in sorted(table.items()):
        total = sum(counter.values())
        print(f"{name:14}", total, *(f"{o} {counter[o]} ({100 * counter[o] / total:.0f} %)" for o in OUTCOMES))
    whole = sum(table.values(), Counter())
    known = whole["right"] + whole["offered"]
    print(
        f"all {whole.total()}: right or one paste {known}, wrong {whole['wrong']}, wrong by paste {whole['mispasted']}"
    )
    print(f"{1000 * each:.1f} ms a log")
    shown = {"--wrong": "wrong", "--refused": "refused", "--offered": "offered", "--paste": "mispasted"}
    for option, outcomes in shown.items():
        if option in arguments:
            for row, outcome, why in missed:
                if outcome == outcomes and (row["class"] != "note" or outcome in ("wrong", "mispasted")):
                    print(f"{outcome[:5]} {row['id']} [{row['class'][:5]}] {row['line']!r}\n      {why[:260]}")


if __name__ == "__main__":
    main(sys.argv[1:])
