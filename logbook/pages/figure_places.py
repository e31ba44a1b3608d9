"""Figures whose level axis is places or parts: cut-out, compression, leak-down, flow, spray, resistance, mixture."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from logbook.job.model import Engine, Job, Reading
from logbook.pages.csv_tables import table_path
from logbook.pages.figure_scatter import firing_range, middle_of, range_words, scatter_of, scatter_words
from logbook.pages.figure_units import axis_sign, ends, in_unit, number, usual_unit
from logbook.pages.figure_values import FigureSpec, Group, Limit, Mark, Series, Tick
from logbook.pages.frame import Table
from logbook.pages.moments import Moment, moments, shown_readings
from logbook.pages.moments_table import moments_table
from logbook.pages.parts_match import matched_sets
from logbook.pages.parts_record import part_records
from logbook.pages.proof import repair_step
from logbook.pages.wanted import Wanted, wanted_of
from logbook.pages.words import capital, listed, spelled

READINGS, BEFORE_AFTER = "readings", "before-after"
_GAP = 0.6  # between banks


@dataclass(frozen=True, slots=True)
class Placed:
    """A figure with the section it belongs to and its numbers as a table."""

    place: str
    spec: FigureSpec
    table: Table | None = None


@dataclass(frozen=True, slots=True)
class _Test:
    """One kind of figure: how its readings are told apart, and what stands over its axis."""

    test: str
    title: str
    axis: str  # over the upright axis, before the unit
    head: str  # of the table's first column
    by_place: bool = True
    bars: bool = False
    from_nought: bool = False
    words: tuple[str, ...] = ()  # upright axis of words, worst first


_TESTS = (
    _Test("cut-out", "Cut-out: speed lost when each cylinder is cut", "lost when cut", "Cylinder", from_nought=True),
    _Test("compression", "Compression", "gauge", "Cylinder", bars=True),
    _Test("leak-down", "Leak-down: share of the air lost", "lost", "Cylinder", from_nought=True),
    _Test("port temperature", "Temperature of each exhaust port", "", "Cylinder"),
    _Test("misfire count", "Misfires counted", "misfires", "Cylinder", from_nought=True),
    _Test("flow", "Flow on the bench", "", "Part", by_place=False, from_nought=True),
    _Test("spray", "Spray, by eye", "spray", "Part", by_place=False, words=("none", "drip", "poor", "jet", "cone")),
    _Test("resistance", "Resistance", "", "Part", by_place=False),
    _Test("mixture", "Mixture", "", "Bank", by_place=False),
)


def place_figures(job: Job) -> tuple[Placed, ...]:
    """Every figure of this sort that the job has readings for, in the order in which a mechanic would test."""
    return tuple(placed for test in _TESTS for placed in _figures(job, test))


def _figures(job: Job, test: _Test) -> Iterable[Placed]:
    readings = shown_readings(job, test.test)
    for kind, winding, engine in sorted({_sort(r) for r in readings}):
        own = [r for r in readings if _sort(r) == (kind, winding, engine) and not r.after_action]
        of = f" of the {kind}s{', secondary' if winding else ''}" if kind and test.test == "resistance" else ""
        named = replace(test, title=f"{test.title}{of}")
        subject = _place if test.by_place else _part_or_bank
        found = moments(job, own, subject)
        suffix = "-".join(filter(None, (kind if test.test == "resistance" else "", winding, engine.lower())))
        name = f"{test.test.replace(' ', '-')}{'-' + suffix if suffix else ''}"
        yield from _placed(job, named, job.engine(engine), found, name)


def _sort(reading: Reading) -> tuple[str, str, str]:
    """What stands in one figure: parts of a kind, in one engine; the two windings of a coil are thousands apart."""
    return reading.part_kind, "secondary" if "secondary" in reading.qualifiers else "", reading.engine


def _placed(job: Job, test: _Test, engine: Engine | None, found: Sequence[Moment], name: str) -> Iterable[Placed]:
    repair = repair_step(job)
    after = [m for m in found if m.proved or m.step > repair]
    before = [m for m in found if m not in after]
    both = bool(before and after) and _worth(after, test) and _worth(before, test)
    told = before if both else found
    first_and_last = [told[0], told[-1]] if len(told) > 1 else list(told)
    chosen = _dry_and_wet(told) if test.bars else first_and_last
    if chosen and _worth(chosen, test):
        yield _drawn(job, test, engine, chosen, READINGS, name, told[-1:] if told[-1] not in chosen else ())
    if both:
        plain = replace(test, title=f"{test.title}, before and after", bars=False)
        pair = [replace(before[0], called="before"), replace(after[-1], called="after")]
        yield _drawn(job, plain, engine, pair, BEFORE_AFTER, f"{name}-before-after")


def _dry_and_wet(found: Sequence[Moment]) -> list[Moment]:
    """The last dry test before the wet one, and the wet one; else the last."""
    wet = next((m for m in reversed(found) if "wet" in m.qualifiers), None)
    dry = [m for m in found if "wet" not in m.qualifiers and (wet is None or m.step <= wet.step)]
    return [*dry[-1:], *([wet] if wet else [])]


def _worth(found: Sequence[Moment], test: _Test) -> bool:
    """Is there anything to set side by side: two marks at least, two different words."""
    values = [r.value for m in found for _, r in m.readings]
    if test.words:
        return len({v.word for v in values} & set(test.words)) >= 2
    return sum(v.quantity is not None for v in values) >= 2


def _place(reading: Reading) -> str:
    return str(reading.place.cylinder) if reading.place else reading.subject


def _part_or_bank(reading: Reading) -> str:
    return reading.bank or reading.subject or "engine"


# -- one figure


def _drawn(
    job: Job,
    test: _Test,
    engine: Engine | None,
    found: list[Moment],
    place: str,
    name: str,
    later: Sequence[Moment] = (),
) -> Placed:
    """``later`` stands in the table alone: one cylinder tried again, behind the dry and the wet test of all."""
    if len(found) > 1 and found[0].label == found[1].label:
        found = [replace(found[0], called="first"), replace(found[1], called="later")]
    ticks, groups = _places_of(engine, found) if test.by_place else _names_of(found)
    chosen = _chosen(job, test, engine, found)
    ticks = tuple(Tick(t.at, t.label, t.label in chosen) for t in ticks)
    unit = usual_unit([r for m in found for _, r in m.readings])
    readings = [r for m in found for _, r in m.readings if r.value.quantity]
    specs = {w.words: w for r in readings if (w := wanted_of(job, r, unit)) is not None}
    words = _words_used(test, found)
    series = tuple(
        Series(
            (m.qualifiers[0] if m.qualifiers else "dry") if test.bars else m.label,
            tuple(_mark(job, m, t, unit, words) for t in ticks),
            "bar" if test.bars and n == 0 else "filled" if n else "open",
            "blue" if n else "ink",
        )
        for n, m in enumerate(found)
    )
    sign = axis_sign(unit)
    firing = firing_range(found, unit)
    spec = FigureSpec(
        kind=test.test,
        name=name,
        title=test.title,
        alt=" ".join(filter(None, (_alt(test, found, unit, words, specs.values()), range_words(firing)))),
        unit=test.axis if test.words else _axis_unit(test, sign),
        series=series,
        ticks=ticks,
        groups=groups,
        limits=(*_limits(specs.values(), test, found, unit), *([firing] if firing else [])),
        y_words=words,
        reach=() if words else _reach(test, readings, unit),
        scatter=scatter_words(scatter_of(m, s, unit) for m in found for s, _ in m.readings),
        chosen=f"the best matched {spelled(len(chosen))}" if chosen else "",
    )
    subjects = [t.label for t in ticks]
    labels = [m.label for m in found]
    columns = [*found, *(replace(m, called="later") if m.label in labels else m for m in later)]
    path = table_path(job.address, test.test)
    table = moments_table(job, _table_name(test, found), test.head, columns, subjects, path)
    return Placed(place, spec, table)


def _table_name(test: _Test, found: Sequence[Moment]) -> str:
    """Short, as the figure beside it has the title."""
    kinds = {r.part_kind for m in found for _, r in m.readings}
    kind = kinds.pop() if test.test == "resistance" and len(kinds) == 1 else ""
    return capital(f"{test.test} {kind}".strip())


def _reach(test: _Test, readings: Sequence[Reading], unit: str) -> tuple[float, ...]:
    """Shares and losses are seen from nought; other values with a tenth to either side, so that alike looks alike."""
    if test.from_nought:
        return (0.0,)
    values = [in_unit(r.value.quantity, unit) for r in readings if r.value.quantity]
    middle = (min(values) + max(values)) / 2 if values else 0.0
    return (0.9 * middle, 1.1 * middle)


def _axis_unit(test: _Test, sign: str) -> str:
    return f"{sign}, gauge" if test.axis == "gauge" else f"{sign} {test.axis}".strip()


def _places_of(engine: Engine | None, found: Sequence[Moment]) -> tuple[tuple[Tick, ...], tuple[Group, ...]]:
    """Cylinders in the order of the plan, bank by bank, with a gap between banks."""
    if engine is None or not engine.banks:
        return _names_of(found)
    ticks: list[Tick] = []
    groups: list[Group] = []
    at = 0.0
    for bank in engine.banks:
        start = at
        for cylinder in bank.cylinders:
            ticks.append(Tick(at, str(cylinder)))
            at += 1
        if bank.name and len(engine.banks) > 1:
            groups.append(Group(start, at - 1, f"{bank.name} bank"))
        at += _GAP
    return tuple(ticks), tuple(groups)


def _names_of(found: Sequence[Moment]) -> tuple[tuple[Tick, ...], tuple[Group, ...]]:
    names = dict.fromkeys(subject for m in found for subject, _ in m.readings)
    return tuple(Tick(float(n), name) for n, name in enumerate(names)), ()


def _words_used(test: _Test, found: Sequence[Moment]) -> tuple[str, ...]:
    used = {r.value.word for m in found for _, r in m.readings}
    return tuple(w for w in test.words if w in used)


def _mark(job: Job, moment: Moment, tick: Tick, unit: str, words: tuple[str, ...]) -> Mark:
    reading, at = moment.reading(tick.label), tick.at
    if reading is None:
        return Mark(at, None, word="not tested")
    value = reading.value
    if words:
        return Mark(at, float(words.index(value.word))) if value.word in words else Mark(at, None, word=value.word)
    if value.quantity is None:
        return Mark(at, None, word={"not done": "not tested"}.get(value.word, value.word))
    scatter = scatter_of(moment, tick.label, unit)
    y = scatter.middle if scatter else in_unit(value.quantity, unit)
    low, high = (scatter.low, scatter.high) if scatter else ends(value.quantity, unit) or (None, None)
    limit = wanted_of(job, reading, unit)
    out = bool(limit and limit.out(y))
    heard = value.remark_words[0] if value.remark_words else ""
    return Mark(at, y, low, high, heard or (number(y) if out else ""), out)


def _limits(specs: Iterable[Wanted], test: _Test, found: Sequence[Moment], unit: str) -> Iterable[Limit]:
    for spec in specs:
        low = spec.low if spec.low is not None else spec.high
        high = spec.high if spec.high is not None else spec.low
        if low is not None and high is not None:
            yield Limit(low, high, f"wanted, {spec.moved or spec.words}")
    if test.test == "compression":
        dry = [in_unit(r.value.quantity, unit) for _, r in found[0].readings if r.value.quantity]
        if len(dry) > 1:
            yield Limit(0.75 * max(dry), 0.75 * max(dry), "75 % of the highest", "mid")


def _chosen(job: Job, test: _Test, engine: Engine | None, found: Sequence[Moment]) -> set[str]:
    """Names of the best matched set, where more injectors flowed than the engine has cylinders."""
    if test.test != "flow":
        return set()
    engine = engine or (job.engines[0] if job.engines else None)
    size = len(engine.cylinders) if engine else 0
    measured = {subject for m in found for subject, r in m.readings if r.value.quantity}
    if len(measured) <= size:
        return set()
    kept = [r for r in part_records(job) if not any(a.action in ("scrap", "sent") for a in r.acts)]
    sets = [s for _, by_size in matched_sets(kept) for s in by_size if s.size == size]
    best = min(sets, key=lambda s: s.apart, default=None)
    return {f.record.name for f in best.parts} if best else set()


# -- the same in words


def _alt(test: _Test, found: Sequence[Moment], unit: str, words: tuple[str, ...], specs: Iterable[Wanted]) -> str:
    said = [f"{test.title}."]
    for moment in found:
        said.append(_words_alt(moment, words) if words else _numbers_alt(moment, unit))
    limits = listed(w.words for w in specs)
    if limits:
        said.append(f"Wanted: {limits}.")
    return " ".join(s for s in said if s)


def _numbers_alt(moment: Moment, unit: str) -> str:
    """'4 May, dry: lowest 9.6 at 5, highest 12.1 bar at 1.'"""
    values = [(y, s) for s, _ in moment.readings if (y := middle_of(moment, s, unit)) is not None]
    if not values:
        return ""
    (low, at_low), (high, at_high) = min(values), max(values)
    sign = axis_sign(unit)
    if len(values) == 1:
        return f"{capital(moment.label)}: {number(low)} {sign} at {at_low}.".replace(" .", ".")
    return f"{capital(moment.label)}: lowest {number(low)} at {at_low}, highest {number(high)} {sign} at {at_high}."


def _words_alt(moment: Moment, words: tuple[str, ...]) -> str:
    by_word: dict[str, list[str]] = {}
    for subject, reading in moment.readings:
        if reading.value.word in words:
            by_word.setdefault(reading.value.word, []).append(subject)
    told = "; ".join(f"{word} at {listed(by_word[word])}" for word in reversed(words) if word in by_word)
    return f"{capital(moment.label)}: {told}."
