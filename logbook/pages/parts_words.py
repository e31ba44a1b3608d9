"""What is said of a part: its condition in a word, its state in sentences, and what nobody knows of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from logbook.pages.parts_record import PartAct, PartRecord, PartTest
from logbook.pages.phrases import Voice, catalogue
from logbook.pages.words import capital, listed, spelled

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


Status = Literal["stock", "ask", "aside", "fitted", "sold", "back", "scrap", "gone"]


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
    """A return and a cause that was proved outrank whatever the bench said."""
    if any(a.action == "scrap" for a in acts):
        return "scrap", True
    if status(records) == "back":
        return "came back", True
    verdicts = [v for t in latest(tests).values() if (v := verdict(t)) is not None]
    mended = _mended(records)
    if any(r.cause for r in records) and not (mended and verdicts and all(verdicts)):
        return "bad: it was the cause", True
    if not verdicts:
        return ("ran well", False) if _ran_well(records) else ("no verdict" if tests else "not tested", False)
    if not all(verdicts):
        return ("bad" if not any(verdicts) else "doubtful"), True
    return ("good, cleaned" if mended == "clean" else "good, repaired" if mended else "good"), False


def status(records: Sequence[PartRecord]) -> Status:
    """Where a part is for a buyer: by the last of sale, return, setting aside and scrapping, else where it stands."""
    acts = [a for r in records for a in r.acts]
    last = next((a.action for a in reversed(acts) if a.action in _TRADED), "")
    if last in ("scrap", "sent"):
        return _TRADED[last]
    if any(r.gone for r in records):
        return "gone"
    if any(s.still for r in records for s in r.stays):
        return "fitted"
    return _TRADED.get(last, "ask" if records[-1].public else "stock")


_TRADED: dict[str, Status] = {"scrap": "scrap", "sent": "sold", "returned": "back", "picked": "aside"}


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
    said = [_flow(records, tests, acts)] if any(t.test == "flow" and t.number for t in tests) else []
    others = [t for t in latest(tests).values() if t.test != "flow"]
    if others:
        said.append(capital(f"{listed(f'{t.test} {t.value}' for t in others)}."))
    cause = next((r for r in reversed(records) if r.cause), None)
    if cause:
        said.append(Voice(records[0].us).say("part.was_cause", cause=cause.cause))
    return [s for s in said if s]


def _flow(records: Sequence[PartRecord], tests: list[PartTest], acts: list[PartAct]) -> str:
    voice = Voice(records[0].us)
    flows = [t for t in tests if t.test == "flow" and t.number is not None]
    last = flows[-1]
    cleaned = next((a for a in acts if a.action == "clean"), None)
    before = [t for t in flows if cleaned and t.step < cleaned.step and t.conditions == last.conditions]
    now = f"{last.value}{_share(voice, last)}"
    if cleaned and before and last is not before[-1]:
        was = f"{before[-1].value}{_share(voice, before[-1])}"
        return voice.say("part.flowed", was=was, day=voice.day(cleaned.day), now=now)
    return voice.say("part.flows", now=now)


def _share(voice: Voice, test: PartTest) -> str:
    if not test.sisters_middle or test.number is None or test.sisters < FEWEST_SISTERS:
        return ""
    share = round(100 * test.number / test.sisters_middle)
    return voice.say("part.share", share=share, count=spelled(test.sisters))


def where_now(records: Sequence[PartRecord]) -> str:
    """'Fitted to cylinder 2, which fires.', 'Sold 11 April 2026.', 'In stock.'"""
    voice, now = Voice(records[0].us), status(records)
    here = next((s for r in reversed(records) for s in reversed(r.stays) if s.still), None)
    last = next((a for r in reversed(records) for a in reversed(r.acts) if a.action in _TRADED), None)
    day = voice.date(last.day) if last else ""
    if now == "fitted" and here:
        return voice.say("part_is.fitted_seen" if here.seen else "part_is.fitted", place=here.cylinder, seen=here.seen)
    return voice.say(f"part_is.{now}", day=day)


def status_words(records: Sequence[PartRecord]) -> str:
    """The same, short, for a stamp or a table: 'In stock', 'Sold', 'Came back'."""
    return catalogue()[f"part_status.{status(records)}"]


def not_known(records: Sequence[PartRecord]) -> tuple[str, ...]:
    """What a buyer should ask or test. Never empty: what happened before the first day of its log nobody wrote down."""
    first = min((r.first for r in records if r.first), default=None)
    kind = records[0].kind
    tested = {t.test.split(" ", 1)[0] if t.test.startswith("look") else t.test for r in records for t in r.tests}
    new = records[0].origin == "new"
    voice = Voice(records[0].us)
    life = voice.say("part.new_life") if new else voice.say("part.life", day=voice.date(first))
    missing = [w for w in _WANTED.get(kind, ("look",)) if w not in tested]
    said = [life]
    if missing:
        said.append(voice.say("part.missing", tests=listed(missing)))
    if kind in _NEVER:
        said.append(f"{capital(_NEVER[kind])}.")
    return tuple(said)
