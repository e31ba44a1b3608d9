"""Plain sentences made from the numbers: what an entry showed, why a cause rose or fell, how one beats several."""

from __future__ import annotations

from logbook.diagnosis.answers import Cause, EntryWeight
from logbook.diagnosis.naming import entry_words, joined
from logbook.diagnosis.problem import Problem
from logbook.job.model import Job
from logbook.text.entries import Value

BREATH = 34  # characters of what an entry showed that a sentence can carry
_SAID = {"none": "nothing", "not done": "not done"}


def value_words(value: Value) -> str:
    """A value as a person says it: '118 psi', 'dead'."""
    if value.quantity is not None:
        unit = f" {value.quantity.unit}" if value.quantity.unit and value.quantity.unit != "count" else ""
        return f"{value.quantity.text}{unit}"
    return _SAID.get(value.word, value.word)


def seen(problem: Problem, entry: int) -> str:
    """What an entry showed, shortened: '3 dead, the rest fires'."""
    readings = [o.reading for o in problem.observations if o.entry == entry and o.reading is not None]
    said: dict[str, list[str]] = {}
    for reading in dict.fromkeys(readings):
        words = value_words(reading.value)
        if reading.value.remark_words:
            words += f" ({joined(reading.value.remark_words)})"
        subject = "" if reading.test == "codes" else reading.subject or "the engine"  # a code's is its place in the row
        if subject not in said.setdefault(words, []):
            said[words].append(subject)
    groups = sorted(said.items(), key=lambda item: len(item[1]))
    parts = [f"{joined(who)} {what}".lstrip() for what, who in groups[:4]]
    return ", ".join(parts) + (" and more" if len(groups) > 4 else "")


def strength(decibans: float) -> str:
    """How much a weight is, in words: 3 tenths of a ban double the odds, 10 make them ten times as good."""
    size = abs(decibans)
    for least, words in (
        (20, "all but settles it"),
        (10, "speaks strongly"),
        (5, "speaks plainly"),
        (2, "speaks a little"),
    ):
        if size >= least:
            return words
    return "hardly matters"


def chance_words(p: float) -> str:
    """A chance in a mechanic's words."""
    for least, words in (
        (0.99, "as good as certain"), (0.95, "nearly certain"), (0.80, "very likely"), (0.60, "likely"),
        (0.40, "as likely as not"), (0.20, "possible"), (0.05, "unlikely"), (0.01, "very unlikely"),
    ):  # fmt: skip
        if p >= least:
            return words
    return "as good as ruled out"


def _because(job: Job, weight: EntryWeight) -> str:
    """The entry by name, and what it showed where that can be said in a breath."""
    showed = weight.words.partition(": ")[2]
    return entry_words(job, weight.entry) + (f" ({showed})" if 0 < len(showed) <= BREATH else "")


def cause_sentence(job: Job, cause: Cause) -> str:
    """Why a cause stands where it stands: the two entries that moved it most, and the one most against it."""
    up, down = cause.for_, cause.against
    opening = f"{_capital(cause.label)} is {chance_words(cause.probability)}"
    said = []
    if up:
        lead = f"{_because(job, up[0])} {_speaks(up[0], 'for')} it"
        if len(up) > 1 and up[1].decibans >= 1:
            lead += f", then {_because(job, up[1])}"
        said.append(lead)
    if down and down[0].decibans <= -1:
        word = "but " if said else ""
        said.append(f"{word}{_because(job, down[0])} {_speaks(down[0], 'against')} it")
    if not said:
        return f"{opening}; no entry has moved it much yet."
    return f"{opening}: {', '.join(said)}."


def _speaks(weight: EntryWeight, way: str) -> str:
    size = abs(weight.decibans)
    if size >= 20:
        return "all but proves" if way == "for" else "all but clears"
    words = strength(weight.decibans)
    return f"{words} {way}" if words.startswith("speaks") else f"says little {way}"


def ruled_out_sentence(job: Job, cause: Cause) -> str:
    """By which entry a cause was put out of the question."""
    down = cause.against
    if not down:
        return f"{_capital(cause.label)} was never likely."
    opening = f"{_capital(cause.label)} is {chance_words(cause.probability)}"
    return f"{opening}: {_because(job, down[0])} {_speaks(down[0], 'against')} it."


def shared_sentence(name: str, cylinders: list[int], odds: float, reach: str, p: float, alone: bool) -> str:
    """How one cause for several cylinders compares with so many faults of their own.

    ``alone``: no cylinder by itself is in trouble, the engine or a bank is.
    """
    if alone:
        return f"{_capital(name)} is {chance_words(p)}."
    who = joined(cylinders)
    if len(cylinders) < 2:
        return f"{_capital(name)} would reach {reach}, and so far {who or 'none'} shows it."
    if odds >= 1:
        return f"{_capital(name)} explains {who} together: {_times(odds)} likelier than a fault for each of them."
    return f"{_capital(name)} would explain {who} together, but a fault for each is {_times(1 / odds)} likelier."


def upstream_sentence(name: str, p: float) -> str:
    """What a fault that only raises others means."""
    return f"{_capital(name)} is {chance_words(p)}; it puts every injector on it under suspicion."


def _times(odds: float) -> str:
    if odds < 1.5:
        return "hardly"
    if odds < 10:
        return f"about {odds:.0f} times"
    if odds < 1000:
        return f"about {int(float(f'{odds:.1g}'))} times"
    return "over a thousand times"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
