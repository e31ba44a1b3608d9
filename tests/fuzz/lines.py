"""Lines of a log by chance: built from the table of kinds, taken from samples and mistakes, cut and poked into."""

from __future__ import annotations

import random
from pathlib import Path

from logbook.text.kinds import TABLE, Kind
from logbook.units import UNITS
from tests.text.fuzz import SAMPLES, mutated
from tests.text.test_laws import LINES

CARDS = (
    "units: metric\nengine: inline 4, fires 1 3 4 2, coil on plug",
    "units: us\nengine: V8, left 1 3 5 7, right 2 4 6 8, fires 1 8 4 3 6 5 7 2, coil near plug, leads",
    "units: metric\nengine: V6, left 1 3 5, right 2 4 6, fires 1 2 3 4 5 6, coil on plug",
    "units: us\nengine: flat four, left 1 3, right 2 4, coil pair 1 2 / 3 4",
    "units: us\nengine: inline 6, fires 1 5 3 6 2 4, distributor, carburettor, points",
    "units: metric\nengine: inline 1\nengine D2: V8, rear 1 3 5 7, front 2 4 6 8\ndonor D1: a hatchback",
    "units: metric\nengine: inline 3, diesel\nengine: inline 3, diesel",
    "units: us\nengine: V12, left 1 2 3 4 5 6, right 7 8 9 10 11 12",
    "units: metric\nengine: two rotors",
    "symptom: nothing on the card",
    "",
)
TAGS = (
    "donor D1: a van\nparts coil: A1-A8 from D1 at 1-8",
    "parts injector: B1-B4 used",
    "shared coil: 1 4, 2 3",
    "shared injector feed: 1 3 5, 2 4 6",
    "spec compression: 9-13",
    "place: altitude 480 m, air 16 C",
    "wanted: power 300 hp, boost 0.8 bar",
    "injector rating: 440 cc/min @ 3 bar",
)
NUMBERS = ("0", "1", "2", "12.5", "70", "130", "0.001", "-3", "+4", "350", "4500", "99999", "999999999999", "0.00")
DOUBTS = ("", "", "", "?", " (slow)", " psi", " bar", " %", "-", " over", " +-5", "..9")
CONDITIONS = ("@ warm", "@ cold", "@ 690 rpm", "@ 0 rpm", "@ 3 bar", "@ 0 bar", "@ 30 s, 3 bar", "@ 0 s", "@ 1 cut out")
NOW = ("now same", "now moved", "now 2 dead, 4 fires", "now all fires", "now 3 fires", "now 1 2 3 4 dead", "now worse?")
ACTS = ("swap", "move", "fit", "remove", "put back", "unplug", "reconnect", "clean", "repair", "replace", "wiggle")
PARTS = ("coil", "lead", "plug", "injector", "injector connector", "ground", "feed", "head", "gasket", "cap", "rotor")
TRACE_KINDS = ("cranking", "speed", "sound", "injector", "coil", "running", "pull")
_RARE = 0.03


def sample_lines(folder: Path = SAMPLES) -> list[str]:
    return [line for log in sorted(folder.glob("*.txt")) for line in log.read_text(encoding="utf-8").split("\n")]


KNOWN = [*LINES, *sample_lines()]


def line(chance: random.Random, traces: list[str], names: list[str]) -> str:
    """One line. ``traces`` are lines that name recordings, ``names`` the other logs."""
    sort = chance.random()
    if sort < 0.45:
        return _of_kind(chance, chance.choice(TABLE))
    if sort < 0.6:
        return _action(chance)
    if sort < 0.72:
        return chance.choice(KNOWN)
    if sort < 0.86:
        return mutated(chance, KNOWN)
    if sort < 0.9 and traces:
        known = chance.choice(traces)
        kind = known.split(":")[0].removeprefix("trace ")
        return known.replace(kind, chance.choice(TRACE_KINDS), 1) if chance.random() < 0.3 else known
    if sort < 0.95 and names:
        return _of_others(chance, chance.choice(names))
    return chance.choice(("", "  a note", f"2026-0{chance.randrange(1, 9)}-{chance.randrange(1, 28):02d} a day"))


def _of_kind(chance: random.Random, kind: Kind) -> str:
    """A line that the row allows, with values from sound to absurd."""
    qualifiers = [q for q in kind.qualifiers if chance.random() < 0.3 and q.islower()]
    if not kind.dimension and not kind.words and not kind.slots:
        return kind.example
    if kind.slots and chance.random() < 0.7:
        body = ", ".join(f"{slot.name} {_value(chance, kind)}" for slot in kind.slots if chance.random() < 0.6)
    elif chance.random() < 0.2:
        body = _value(chance, kind)
    else:
        body = ", ".join(f"{_subject(chance)} {_value(chance, kind)}" for _ in range(chance.randrange(1, 7)))
    condition = f" {chance.choice(CONDITIONS)}" if chance.random() < 0.25 else ""
    proved = "proved " if chance.random() < _RARE else "private " if chance.random() < _RARE else ""
    then = f", {chance.choice(NOW)}" if kind.action and chance.random() < 0.5 else ""
    return f"{proved}{' '.join([kind.word, *qualifiers])}: {body}{condition}{then}"


def _subject(chance: random.Random) -> str:
    sort = chance.random()
    if sort < 0.7:
        return str(chance.randrange(1, 9))
    return chance.choice(("all", "rest", "left", "right", "old 2", "old 3", "A1", "B2", "spare", "1 3", "front"))


def _value(chance: random.Random, kind: Kind) -> str:
    if kind.words and (not kind.dimension or chance.random() < 0.2):
        return chance.choice(kind.words)
    number = chance.choice(NUMBERS)
    if kind.low and chance.random() < 0.6:
        number = f"{chance.uniform(float(kind.low), float(kind.high)):.3g}"
    unit = ""
    if chance.random() < 0.2:
        alike = [u for u in UNITS if UNITS[u].dimension == kind.dimension] or ["mm"]
        unit = f" {chance.choice(alike)}"
    return number + unit + (chance.choice(DOUBTS) if chance.random() < 0.2 else "")


def _action(chance: random.Random) -> str:
    act, part = chance.choice(ACTS), chance.choice(PARTS)
    one, two = chance.randrange(1, 9), chance.randrange(1, 9)
    body = chance.choice(
        (f"{one} {two}", f"{one}", f"{one} to {two}", f"new in {one}", f"old {one} in {two}", f"A{one} in {two}", "")
    )
    now = f"{chance.choice((':', ',', ''))} {chance.choice(NOW)}" if chance.random() < 0.5 else ""
    return f"{act} {part}{':' if chance.random() < 0.5 else ''} {body}{now}".rstrip()


def _of_others(chance: random.Random, name: str) -> str:
    """A line that names another log, its parts or its address."""
    return chance.choice(
        (
            f"donor D{chance.randrange(1, 3)}: {name}, bought 400",
            f"fit coil: {name} A{chance.randrange(1, 9)} in {chance.randrange(1, 5)}",
            f"address: {name}",
            f"parts coil: A1-A8 from {name} at 1-8",
            f"symptom: see {name}.txt",
            f"picked 7: A{chance.randrange(1, 9)}",
        )
    )
