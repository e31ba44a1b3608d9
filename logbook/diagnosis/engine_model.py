"""The engine model: what is wrong somewhere, as signs; how a cylinder works with them; which row of a test speaks.

A fault is there in a grade. Its grade raises signs, plain words such as 'no spark', 'lean', 'coil looks', wherever the
fault reaches: at the cylinder where the part stands, at the cylinders of a group, a bank or the whole engine. Some
signs hold always, others under a condition only. The signs settle how a cylinder works. A test is an ordered
list of rows, each with signs; the first row of which a sign holds speaks. So one fault makes one row speak at each
observation, and of several faults the lowest row speaks: that is all that the inference needs to know of engines.
"""

from __future__ import annotations

from collections.abc import Set
from functools import lru_cache

from logbook.diagnosis.knowledge import FaultRow, Grade, Signs, TestRow
from logbook.job.model import Engine

# A cylinder needs fuel, spark, squeeze and their right time. Without one of them it is dead; with a thin one, weak.
DEAD = frozenset(
    {"no spark", "no fire", "no fuel", "no squeeze", "no mixture", "drowned", "crossed", "dead"}
)  # 'no fire': the spark comes and does not jump at the plug
WEAK = frozenset({"thin spark", "thin fire", "lean", "air", "too rich", "low squeeze", "weak"})
DERIVED = frozenset({"dead", "weak", "flaky", "no start", "all weak"})  # follow from others, or from the reach

# What may be asked of a reading: was it at idle or above, loaded, cold, hot, wet. Where nothing is said, it idled warm.
CONDITIONS = ("idle", "speed", "load", "cold", "hot", "wet")
ANY = "any"
IDLE = frozenset({"idle"})


def working(signs: Set[str]) -> str:
    """'dead', 'weak' or 'fires': how a cylinder works with these signs."""
    return "dead" if signs & DEAD else "weak" if signs & WEAK else "fires"


def signs_of(fault: FaultRow, grade: Grade, conditions: Set[str], everywhere: bool) -> Signs:
    """All signs that hold where a fault of this grade reaches, under these conditions.

    ``everywhere``: it reaches every cylinder of its engine. What kills them all is no start; what weakens them all is
    the engine's own weakness, not a cylinder's. A fault that comes and goes makes what it reaches come and go.
    """
    found = grade.signs.union(*(grade.under.get(c, ()) for c in conditions))
    state = working(found)
    if state == "fires":
        return found
    more = {state}
    if fault.comes:
        more.add("flaky")
    if everywhere:
        more.add("no start" if state == "dead" else "all weak")
    return found | more


def row_of(test: TestRow, signs: Set[str]) -> int:
    """The row of a test that speaks where these signs hold; the last one where none of the others does."""
    return next((i for i, row in enumerate(test.rows[:-1]) if row.signs & signs), len(test.rows) - 1)


@lru_cache(maxsize=1 << 16)
def spoken(fault: FaultRow, grade: int, test: TestRow, conditions: Signs, everywhere: bool) -> int:
    """The row that a fault makes speak where it reaches."""
    return row_of(test, signs_of(fault, fault.grades[grade], conditions, everywhere))


@lru_cache(maxsize=256)
def features(engine: Engine) -> frozenset[str]:
    """What an engine has, in the words of the tables' ``needs``."""
    text = engine.text.casefold()
    has = {engine.fuelling or "port", *engine.part_kinds}
    ignition = engine.ignition or "on-plug"
    if ignition == "none":
        has.add("diesel")
    else:
        has |= {"spark", {"pair": "coil pair", "one": "distributor"}.get(ignition, "coil each")}
    if ignition == "on-plug" and not engine.leads:
        has.add("on-plug")
    if has & {"port", "direct", "single-point"}:
        has.add("injection")
    if has & {"coil each", "coil pair", "port", "direct", "single-point"}:
        has.add("controller")
    if len(engine.banks) > 1:
        has.add("several banks")
    if len(engine.cylinders) > 1:
        has.add("several cylinders")
    if "air-cooled" not in text and "air cooled" not in text:
        has.add("coolant")
    has |= {word for word in ("plenum", "points", "module") if word in text}
    if "magneto" in text:
        has.add("points")
    return frozenset(has)
