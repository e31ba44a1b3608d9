"""What is said of a part: its condition in a word, its state in sentences, and what nobody knows of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from logbook.pages.parts_record import PartAct, PartRecord, PartTest
from logbook.pages.words import capital, date_words, listed, short_date, spelled

LOW_FLOW = 0.93  # of its sisters' middle: under it an injector counts as weak, as the set is then over 7 % apart
FEWEST_SISTERS = 2  # of one alone nobody knows whether it is right
_GOOD = {
    "flow": set(),
    "spray": {"cone", "ok"},
    "drip": {"none", "ok"},
    "spark": {"strong", "ok"},
    "click": {"clicks", "ok"},
    "resistance": {"ok"},
    "plug look": {"tan", "ok", "white"},
    "look": {"ok", "clean"},
    "output": {"ok"},
}
_BAD = {
    "flow": {"none"},
    "spray": {"jet", "drip", "none", "poor"},
    "drip": {"drips"},
    "spark": {"weak", "none", "orange"},
    "click": {"none", "faint"},
    "resistance": {"open", "short"},
    "plug look": {"cracked", "oily", "fouled", "worn", "black", "wet", "sooty"},
    "look": {"broken", "cracked", "burnt", "melted", "corroded", "green", "bent", "worn", "chafed"},
}
# What a buyer would want to see of each kind of part, by the words of the log.
_WANTED = {
    "injector": ("flow", "spray", "drip", "resistance"),
    "coil": ("resistance", "spark"),
    "lead": ("resistance", "look"),
    "plug": ("plug look", "spark"),
    "alternator": ("output",),
}
# What no line of a log can say of it.
_NEVER = {
    "injector": "leak of the body under pressure, flow at short opening times",
    "coil": "output when hot and under load",
    "lead": "leak to ground at full voltage",
    "plug": "spark under pressure",
}


@dataclass(frozen=True, slots=True)
class State:
    """``word`` is the condition for a field or a table; ``sentences`` go on the sheet."""

    word: str
    sentences: tuple[str, ...]
    care: bool = False  # bad or doubtful


def latest(tests: Sequence[PartTest]) -> dict[str, PartTest]:
    """The last reading of each kind of test, in the order the kinds came."""
    found: dict[str, PartTest] = {}
    for test in tests:
        found[test.test] = test
    return found


def alike(tests: Sequence[PartTest]) -> dict[tuple[str, str], list[PartTest]]:
    """The readings that may be set side by side: one kind of test under equal conditions."""
    found: dict[tuple[str, str], list[PartTest]] = {}
    for test in tests:
        found.setdefault((test.test, test.conditions), []).append(test)
    return found


def state(records: Sequence[PartRecord]) -> State:
    """The state of a part from all its records, oldest first."""
    tests = [t for r in records for t in r.tests]
    acts = [a for r in records for a in r.acts]
    word, care = _word(records, tests, acts)
    return State(word, tuple(_sentences(records, tests, acts)), care)


def _word(records: Sequence[PartRecord], tests: list[PartTest], acts: list[PartAct]) -> tuple[str, bool]:
    if any(a.action == "scrap" for a in acts):
        return "scrapped", True
    verdicts = [v for t in latest(tests).values() if (v := verdict(t)) is not None]
    mended = _mended(records)
    if any(r.cause for r in records) and not (mended and verdicts and all(verdicts)):
        return "found to be the cause", True
    if not verdicts:
        return ("ran well", False) if _ran_well(records) else ("tested, not judged" if tests else "not tested", False)
    if not all(verdicts):
        return ("bad" if not any(verdicts) else "doubtful"), True
    return ("good after cleaning" if mended == "clean" else "good after repair" if mended else "good"), False


def verdict(test: PartTest) -> bool | None:
    """Good, bad, or nothing that the words alone can tell."""
    kind = next((k for k in _GOOD if test.test == k or test.test.startswith(f"{k} ")), "")
    if test.number is not None:
        if kind == "flow" and test.sisters_middle and test.sisters >= FEWEST_SISTERS:
            return test.number >= LOW_FLOW * test.sisters_middle
        return None
    if test.word in _BAD.get(kind, ()):
        return False
    return True if test.word in _GOOD.get(kind, ()) else None


def _mended(records: Sequence[PartRecord]) -> str:
    return next((a.action for r in records for a in r.acts if a.action in ("clean", "repair")), "")


def _ran_well(records: Sequence[PartRecord]) -> bool:
    stays = [s for r in records for s in r.stays if s.seen]
    return bool(stays) and stays[-1].seen.endswith("fires")


def _sentences(records: Sequence[PartRecord], tests: list[PartTest], acts: list[PartAct]) -> list[str]:
    said = [_flow(tests, acts)] if any(t.test == "flow" and t.number for t in tests) else []
    others = [t for t in latest(tests).values() if t.test != "flow"]
    if others:
        said.append(capital(f"{listed(f'{t.test} {t.value}' for t in others)}."))
    cause = next((r for r in reversed(records) if r.cause), None)
    if cause:
        said.append(f"It was found to be the cause: {cause.cause}.")
    said.append(where_now(records))
    return [s for s in said if s]


def _flow(tests: list[PartTest], acts: list[PartAct]) -> str:
    flows = [t for t in tests if t.test == "flow" and t.number is not None]
    last = flows[-1]
    cleaned = next((a for a in acts if a.action == "clean"), None)
    before = [t for t in flows if cleaned and t.step < cleaned.step and t.conditions == last.conditions]
    if cleaned and before and last is not before[-1]:
        return (
            f"It gave {before[-1].value}{_share(before[-1])} and was cleaned on {short_date(cleaned.day)}. "
            f"It now gives {last.value}{_share(last)}."
        )
    return f"It gives {last.value}{_share(last)}."


def _share(test: PartTest) -> str:
    if not test.sisters_middle or test.number is None or test.sisters < FEWEST_SISTERS:
        return ""
    return f", {round(100 * test.number / test.sisters_middle)} % of the middle of its {spelled(test.sisters)} sisters"


def where_now(records: Sequence[PartRecord]) -> str:
    """'It stands in cylinder 2, seen there: fires.', 'It lies on the shelf.'"""
    here = next((s for r in reversed(records) for s in reversed(r.stays) if s.still), None)
    acts = [a for r in records for a in r.acts]
    gone = next((a for a in reversed(acts) if a.action in ("scrap", "sent", "returned", "picked")), None)
    if gone and gone.action in ("scrap", "sent"):
        return f"It was {gone.words} on {date_words(gone.day)}."
    if here:
        return f"It stands in cylinder {here.cylinder}" + (f"; seen there last: {here.seen}." if here.seen else ".")
    if records[-1].public:
        return "No entry that is shown puts it in an engine."
    return "It is set aside for an order." if gone and gone.action == "picked" else "It lies on the shelf."


def place_words(records: Sequence[PartRecord]) -> str:
    """The same, short, for a table: 'cylinder 2', 'shelf', 'scrapped', 'sent away'."""
    said = where_now(records)
    for opening, short in (("It lies", "shelf"), ("It is set", "set aside"), ("No entry", "not told")):
        if said.startswith(opening):
            return short
    if said.startswith("It stands"):
        return said.removeprefix("It stands in ").split(";")[0].rstrip(".")
    return said.removeprefix("It was ").split(" on ")[0]


def not_known(records: Sequence[PartRecord]) -> tuple[str, ...]:
    """What a buyer should ask or test. Never empty: what happened before the first day of its log nobody wrote down."""
    first = min((r.first for r in records if r.first), default=None)
    kind = records[0].kind
    tested = {t.test.split(" ", 1)[0] if t.test.startswith("look") else t.test for r in records for t in r.tests}
    new = records[0].origin == "new"
    life = "How it runs in another engine" if new else f"Hours and miles before {date_words(first)}"
    missing = [w for w in _WANTED.get(kind, ("look",)) if w not in tested]
    said = [f"{life}."]
    if missing:
        said.append(f"Not tested: {listed(missing)}.")
    if kind in _NEVER:
        said.append(f"{capital(_NEVER[kind])}.")
    return tuple(said)
