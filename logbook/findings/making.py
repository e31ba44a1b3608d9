"""From readings to a worked number: feed a row of the registry, carry the spread, keep the way back to the lines."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from logbook.findings.measures import Measure, entries_of, listed_text
from logbook.findings.model import Input, Number
from logbook.formulas import believable, registry, spread, working
from logbook.formulas.refusals import Refusal
from logbook.formulas.rows import Row
from logbook.formulas.working import Taken
from logbook.job.model import Job


@dataclass(frozen=True, slots=True)
class Fed:
    """One input of a calculation, in the unit that the function takes.

    ``u`` is its standard uncertainty, one for each member of a list. ``source`` says where a value that is not in the
    log comes from; ``text`` is how it is shown.
    """

    key: str
    value: Any
    text: str
    entries: tuple[int, ...] = ()
    u: float | tuple[float, ...] = 0.0
    source: str = ""
    what: str = ""


USUAL = "typical value, not measured"


def fed(key: str, measure: Measure, what: str = "") -> Fed:
    """An input straight from a reading."""
    return Fed(key, measure.value, measure.text, measure.entries, measure.u, "", what)


def fed_list(key: str, measures: Sequence[Measure], what: str = "", extra: float = 0.0) -> Fed:
    """A list input from several readings; ``extra`` is a spread that each reading has besides its own."""
    spreads = tuple((m.u**2 + extra**2) ** 0.5 for m in measures)
    values = tuple(m.value for m in measures)
    return Fed(key, values, listed_text(measures), entries_of(measures), spreads, "", what)


def usual(key: str, value: Any, text: str, u: float = 0.0, source: str = USUAL, what: str = "") -> Fed:
    """An input that the log does not hold."""
    return Fed(key, value, text, (), u, source, what)


@dataclass(frozen=True, slots=True)
class Did:
    """A calculation done: result by key, standard uncertainty by key, and what the function itself gave."""

    result: Mapping[str, Any]
    u: Mapping[str, float]
    warnings: tuple[str, ...]


def run(calculation: str, feeds: Sequence[Fed]) -> Did:
    """Result and spread of one row of the registry."""
    row = registry.find(calculation)
    taken = tuple(_taken(row, f) for f in feeds)
    worked = working.run(row, taken)
    values = {t.input.parameter: t.inside for t in taken}
    spreads = {t.input.parameter: f.u for t, f in zip(taken, feeds, strict=True) if _has_spread(f.u)}
    u = spread.propagate(row.function, values, spreads, lambda answer: working.results(row, answer))
    return Did(worked.result, u, worked.warnings)


def _has_spread(u: float | tuple[float, ...]) -> bool:
    return any(one > 0 for one in u) if isinstance(u, tuple) else u > 0


def _taken(row: Row, feed: Fed) -> Taken:
    found = working.place_of(row, feed.key)
    if found is None:
        place = row.input(feed.key)  # the input that takes any key, by its own name
        return Taken(place, feed.key, feed.value, feed.value)
    place, ending = found
    value = feed.value
    if ending is not None:
        value = [ending.give(v) for v in value] if place.depth == 1 else ending.give(value)
    return Taken(place, feed.key, value, feed.value, ending)


Say = str | Callable[[Did], str]


def number(
    job: Job,
    calculation: str,
    group: str,
    title: str,
    feeds: Sequence[Fed],
    shown: Say,
    sentence: Say,
    *,
    subject: str = "",
    out: Callable[[Did], bool] | bool = False,
    private: bool = False,
    cautions: tuple[str, ...] = (),
    more_u: Mapping[str, float] | None = None,
) -> Number:
    """A worked number; where the formula refuses its inputs, or one is beyond belief, that is said instead.

    ``more_u`` is a standard uncertainty of a result that no input carries.
    """
    row = registry.find(calculation)
    entries = tuple(dict.fromkeys(e for f in feeds for e in f.entries))
    hidden = private or any(job.entries[e].private for e in entries if 0 <= e < len(job.entries))
    inputs = tuple(_input(row, f) for f in feeds)
    said_cautions = (*((row.caution,) if row.caution else ()), *cautions)
    try:
        _believed(row, feeds)
        did = run(calculation, feeds)
    except Refusal as refusal:
        why = f"not worked out: {refusal.limit} (given: {refusal.value})"
        return Number(
            calculation, group, title, subject, "", "", row.formula, inputs, (), row.source, said_cautions, why,
            private=hidden,
        )  # fmt: skip
    said = sentence(did) if callable(sentence) else sentence
    spreads = tuple((f"u_{key}", math.hypot(u, (more_u or {}).get(key, 0.0))) for key, u in did.u.items() if u)
    return Number(
        calculation,
        group,
        title,
        subject,
        shown(did) if callable(shown) else shown,
        said[:1].upper() + said[1:],
        row.formula,
        inputs,
        tuple((key, _frozen(value)) for key, value in did.result.items()) + spreads,
        row.source,
        said_cautions,
        out=out(did) if callable(out) else out,
        private=hidden,
    )


def _believed(row: Row, feeds: Sequence[Fed]) -> None:
    for feed in feeds:
        place = working.place_of(row, feed.key)
        if place and (words := believable.doubt(place[0].stem, place[0].dimension, feed.value, place[1])):
            raise Refusal(feed.key, feed.text, words)


def missing(calculation: str, group: str, title: str, what: str, *, subject: str = "", private: bool = False) -> Number:
    """A number that is nearly there, and what to write to get it."""
    row = registry.find(calculation)
    return Number(
        calculation, group, title, subject, "", "", row.formula, (), (), row.source, (), what, private=private
    )


def _input(row: Row, feed: Fed) -> Input:
    found = working.place_of(row, feed.key)
    place = found[0] if found else row.input(feed.key)
    return Input(
        place.stem.rstrip("_").replace("_", " "), feed.what or place.words, feed.text, feed.entries, feed.source
    )


def _frozen(value: Any) -> Any:
    return tuple(_frozen(v) for v in value) if isinstance(value, list) else value
