"""Facts printed as lines of the language, one for each set of conditions."""

from __future__ import annotations

from collections.abc import Sequence

from logbook.text.hearing.finishing import slot_of
from logbook.text.hearing.lexicon import Frame
from logbook.text.hearing.model import Fact
from logbook.text.vocabulary import qualifier_words


def lines_of(
    frame: Frame, facts: Sequence[Fact], part: str = "", things: Sequence[str] = (), name: str = ""
) -> tuple[str, ...]:
    """The canonical lines that say these facts."""
    row = frame.row
    groups: dict[tuple[object, ...], list[Fact]] = {}
    for fact in facts:
        own = fact.qualifiers if not _inside(frame, facts) else ()
        clash = sum(
            1 for key, many in groups.items() if key[:2] == (own, fact.conditions) and _clash(fact, many, frame)
        )
        groups.setdefault((own, fact.conditions, clash), []).append(fact)
    lines = []
    for (qualifiers, conditions, _), many in groups.items():
        head = " ".join(w for w in (row.word, name, part, *things, *qualifiers) if w)  # type: ignore[misc]
        body = ", ".join(_said(f, frame, _inside(frame, facts)) for f in many)
        at = f" @ {', '.join(conditions)}" if conditions else ""  # type: ignore[arg-type]
        lines.append(f"{head}: {body}{at}".rstrip())
    return tuple(lines)


def _inside(frame: Frame, facts: Sequence[Fact]) -> bool:
    """Whether each of several values of the engine has its own qualifier: 'battery: rest 12.6, cranking 10.2'."""
    if frame.row.subjects != "one" or len(facts) < 2:
        return False
    quals = [f.qualifiers for f in facts]
    return all(len(q) == 1 for q in quals) and len(set(quals)) == len(quals)


def _clash(fact: Fact, many: Sequence[Fact], frame: Frame) -> bool:
    """Whether a reading may not stand on one line with others: one value a line, a place twice."""
    if frame.row.subjects == "one":
        return not (_inside(frame, (*many, fact)) or (len(many) == 0))
    named = {p for f in many for p in f.places} if fact.places else set()
    slots = {f.slot for f in many}
    if frame.row.subjects == "pull" or frame.row.subjects == "slots":
        return bool(fact.slot and fact.slot in slots)
    return any(p in named for p in fact.places) or (
        not fact.places and bool(many) and frame.row.subjects not in ("slots", "pull")
    )


def _said(fact: Fact, frame: Frame, inside: bool) -> str:
    row = frame.row
    number = (
        f"{fact.bound}{fact.value}{' ' + fact.unit if fact.unit and fact.unit != 'count' else ''}" if fact.value else ""
    )
    words = [w if w != "not done" else "-" for w in fact.words]
    remark = list(fact.remark)
    doubt = "?" if fact.doubt else ""
    if number and words:
        if row.subjects in ("one", "slots", "pull"):
            value = (
                f"{number}{doubt} {' '.join(words)}" if row.subjects == "one" else f"{number}{doubt}, {' '.join(words)}"
            )
        else:
            value, remark = f"{number}{doubt}", [*words, *remark]
    elif len(words) > 1 and words[1:]:
        value, remark = f"{words[0]}{doubt}", [*words[1:], *remark]
    else:
        value = f"{number or ' '.join(words)}{doubt if number or words else ''}"
    who = _who(fact, frame, bool(fact.value))
    by_unit = slot_of(frame, fact.unit) if row.subjects in ("slots", "pull") and fact.value else None
    slot = fact.slot or (by_unit.name if by_unit else "")
    if row.subjects == "slots" and fact.value and not slot and row.word == "idle":
        slot = "rpm"
    head = [*(fact.qualifiers if inside else ()), who, slot]
    said = " ".join(remark).strip(" -/")
    bracket = f" ({said})" if said else ""
    return " ".join(w for w in (*head, value) if w) + bracket


def _who(fact: Fact, frame: Frame, number: bool) -> str:
    kind = frame.row.subjects
    places = list(dict.fromkeys(fact.places))
    if "all" in places and len(places) > 1:
        places = ["all"]
    if not places:
        return "all" if kind in ("cyl", "part", "bolt", "bearing") and (fact.value or fact.words) else ""
    return (" and " if number else " ").join(places)


def known_quals(frame: Frame) -> frozenset[str]:
    return frozenset(qualifier_words(frame.row).values()) | frozenset(frame.row.qualifiers)
