"""What may not stand together in readings, and what must not be missing."""

from __future__ import annotations

from logbook.spans import Span
from logbook.text.about import About
from logbook.text.clauses import Item
from logbook.text.doubts import unit_by_size
from logbook.text.entries import Subject, Value, Written
from logbook.text.numbers import in_unit
from logbook.text.subjects import same_subject, shown
from logbook.text.unread import Unread
from logbook.text.vocabulary import MOVING_PARTS
from logbook.units import UNITS

WHOLE_WORDS = frozenset({"alike", "same", "ok", "not done", "stopped"})
_OF_THE_ENGINE = frozenset({"cyl", "part", "any", "bank"})
_ALLOWED: dict[str, frozenset[str]] = {
    "cyl": frozenset({"place", "all", "rest", "bank", "odd", "even"}),
    "part": frozenset({"place", "all", "rest", "bank", "odd", "even", "tag", "old", "spare"}),
    "bolt": frozenset({"place", "all", "rest", "odd", "even"}),
    "bearing": frozenset({"place", "all", "rest"}),
    "bank": frozenset({"bank", "all"}),
    "stock": frozenset({"tag", "old", "spare", "place", "all", "rest"}),
}


def check_subjects(about: About, subjects: tuple[Subject, ...]) -> None:
    allowed = _ALLOWED.get(about.kind.subjects)
    for subject in subjects:
        if subject.kind == "slot":
            continue
        if allowed is not None and subject.kind not in allowed:
            raise Unread(
                412,
                subject.span,
                f"'{shown(subject)}' is not what '{about.kind.word}' is told of.",
                _subject_mend(about.kind.subjects),
            )
        if about.kind.subjects == "stock" and subject.kind == "place":
            if about.part not in ("", *MOVING_PARTS):
                said = shown(subject)
                mend = (
                    f"write '{about.kind.word}: {about.part}' and below it 'spent: {said} {about.part}', or 'got: ...'"
                )
                raise Unread(412, subject.span, f"'{said}' is no {about.part}: is it money?", mend)
            about.state.check_place(subject, about.engine)
        if about.kind.subjects not in _OF_THE_ENGINE or (subject.kind == "place" and _numbered_apart(about)):
            continue
        about.state.check_place(subject, about.engine)


def _numbered_apart(about: About) -> bool:
    """Whether the places are no cylinders: bearings and rockers have numbers of their own."""
    return about.kind.subjects != "bank" and about.part not in ("", *MOVING_PARTS)


def highest_place(about: About) -> int:
    """The highest number that a place may have here, 0 where any may stand."""
    counted = about.kind.subjects in _OF_THE_ENGINE and not _numbered_apart(about)
    return about.state.places(about.engine) if counted else 0


def check_valueless(about: About, item: Item, subjects: tuple[Subject, ...]) -> None:
    if about.value_needed and (about.kind.subjects != "any" or about.measure.numeric or not item.remark):
        who = " and ".join(shown(s) for s in subjects) or "it"
        words = ", ".join(about.measure.words[:5])
        raise Unread(
            320,
            item.span,
            f"What was seen at {who}?",
            f"write the reading behind it: {words}" if words else "write the reading behind it",
        )


def check_missing_subject(about: About, item: Item, written: Written) -> None:
    if any(s.kind != "slot" for s in written.subjects) or about.free:
        return
    if about.kind.subjects not in ("cyl", "part", "bolt", "bearing"):
        return
    value = written.value
    if value is None or value.word in WHOLE_WORDS or (value.word == "none" and about.kind.subjects == "part"):
        return
    if about.kind.subjects == "part" and (
        about.part not in ("", *MOVING_PARTS) or {"connector", "harness"} & set(about.qualifiers)
    ):
        return
    if about.kind.word == "output":
        return
    said = about.state.said(item.span)
    where = "bolt" if about.kind.subjects == "bolt" else "bearing" if about.kind.subjects == "bearing" else "cylinder"
    raise Unread(
        411,
        item.span,
        f"'{said}' does not say which {where}.",
        _which_mend(about, said, where),
    )


def _which_mend(about: About, said: str, where: str) -> str:
    place, dash, value = said.partition("-")
    if dash and place.isdigit() and 1 <= int(place) <= about.state.places(about.engine):
        return f"write '{place} {value}' for {where} {place}; a dash between numbers is a range"
    if said.isdigit() and 1 <= int(said) <= about.state.places(about.engine):
        return f"if {said} is the {where}, write its reading behind it, or '{said} and' before one that reads the same"
    return f"write the {where} before it: '1 {said}', or 'all {said}'"


def check_unit(about: About, written: Written) -> None:
    quantity = written.value.quantity if written.value else None
    if quantity is None or quantity.unit or not about.measure.numeric or "money" in about.measure.dimensions:
        return
    if quantity.low == 0 == quantity.high:
        return
    raise (
        Unread(
            306,
            written.value.span if written.value else written.span,
            f"{quantity.text}: in {about.measure.us} or {about.measure.metric}?",
            "write the unit behind it, or 'units: us' or 'units: metric' on the card",
        )
        if about.measure.us
        else Unread(
            306,
            written.value.span if written.value else written.span,
            f"{quantity.text} of what?",
            f"write the unit behind it: {_units_of(about)}",
        )
    )


def with_unit_by_size(about: About, found: list[Written]) -> list[Written]:
    """Bare numbers in the one unit that they can be believed in, with a hint that says so."""
    bare = [w.value.quantity for w in found if w.value and w.value.quantity]
    if not bare or any(q.unit_written for q in bare) or about.kind.by_qualifier:
        return found
    unit = unit_by_size(about.kind, about.part, bare, about.measure.usual)
    if not unit:
        return found
    span = Span(found[0].span.start, found[-1].span.end)
    told = f"No unit stands here; by the size of the number it is '{unit}'."
    about.state.tell(Unread(328, span, told, f"write '{unit}' behind the last number"))
    return [w if w.value is None else w._replace(value=as_if_written(w.value, unit)) for w in found]


def as_if_written(value: Value, unit: str) -> Value:
    """The value with this unit, as if it stood behind the number."""
    quantity = value.quantity
    return value if quantity is None else value._replace(quantity=quantity._replace(unit=unit, unit_written=True))


def _units_of(about: About) -> str:
    """The first unit of each dimension that may be written: 'ohm, V or Hz'."""
    found = [next(u.name for u in UNITS.values() if u.dimension == d) for d in about.measure.dimensions]
    return " or ".join(filter(None, (", ".join(found[:-1]), found[-1])))


def with_shared_unit(about: About, found: list[Written], items: list[Item]) -> list[Written]:
    """A unit written once on a line holds for its bare numbers too; without any their size may say it."""
    found = with_unit_by_size(about, found)
    written = [w.value.quantity.unit for w in found if w.value and w.value.quantity and w.value.quantity.unit_written]
    if not written and all(w.value is None or w.value.quantity is None or w.value.quantity.unit for w in found):
        return found
    kept: list[Written] = []
    for reading in found:
        quantity = reading.value.quantity if reading.value else None
        if reading.value and quantity and written and not quantity.unit_written:
            if len(set(written)) > 1 and about.measure.numeric:
                about.state.tell(
                    Unread(
                        324,
                        reading.value.span,
                        f"{quantity.text}: the line holds two units.",
                        "write the unit behind each number",
                    )
                )
                continue
            reading = reading._replace(value=in_unit(reading.value, written[0]))
        try:
            check_unit(about, reading)
        except Unread as fault:
            about.state.tell(fault)
            continue
        kept.append(reading)
    return kept


def without_doubles(about: About, found: list[Written], items: int) -> tuple[Written, ...]:
    """Each subject once; 'all' alone."""
    if _apart(found):
        return tuple(found)
    seen: dict[tuple[object, ...], Span] = {}
    kept: list[Written] = []
    for reading in found:
        fault = _double(about, reading, seen)
        if fault is None:
            kept.append(reading)
            slots = tuple(s.name for s in reading.subjects if s.kind == "slot")
            for subject in reading.subjects:
                seen.setdefault((*same_subject(subject), reading.part, slots), subject.span)
        else:
            about.state.tell(fault)
    if len(kept) == 1 and [s.kind for s in kept[0].subjects] == ["rest"] and items == 1:
        about.state.tell(
            Unread(423, kept[0].span, "'rest' are those that the line does not name, and it names none.", "write 'all'")
        )
    return tuple(kept)


def _apart(found: list[Written]) -> bool:
    """Whether each reading names one place of its own, as on most lines."""
    places = {
        w.subjects[0].number
        for w in found
        if len(w.subjects) == 1 and w.subjects[0].kind == "place" and not w.subjects[0].letter and not w.part
    }
    return len(places) == len(found)


def _double(about: About, reading: Written, seen: dict[tuple[object, ...], Span]) -> Unread | None:
    slots = tuple(s.name for s in reading.subjects if s.kind == "slot")
    if not reading.subjects and seen and about.kind.subjects in ("one", "bank") and not reading.part:
        return None
    own: set[tuple[object, ...]] = set()
    for subject in reading.subjects:
        if subject.kind == "slot" or (subject.kind == "spare"):
            continue
        key = (*same_subject(subject), reading.part, slots)
        if key in seen or key in own:
            first = seen.get(key, subject.span)
            return Unread(
                403,
                subject.span,
                f"'{shown(subject)}' stands twice on this line.",
                "one reading a line for each; write a repeat on a line of its own",
                (first,),
            )
        own.add(key)
        everything = ("all", 0, "", "", reading.part, slots)
        if (everything in seen) or (subject.kind == "all" and any(k[-2:] == (reading.part, slots) for k in seen)):
            return Unread(
                404,
                subject.span,
                "'all' and a named one stand on one line.",
                "name those that differ and write 'rest' for the others",
            )
    return None


def _subject_mend(subjects: str) -> str:
    return {
        "cyl": "name cylinders: '3', '1-4', 'left', 'all', 'rest'",
        "part": "name parts by the cylinder they stand in, by tag, or 'old 3'",
        "bank": "name a bank of the card, or none where the engine has one",
        "bolt": "name bolts by their number",
        "bearing": "name bearings by their number",
        "stock": "name parts by their tags",
    }.get(subjects, "leave it out")
