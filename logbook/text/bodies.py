"""The bodies of entries: one small reader for each sort of body, in a table."""

from __future__ import annotations

import re
from collections.abc import Callable
from types import MappingProxyType

from logbook.spans import Span
from logbook.text.amounts import read_group, read_many, read_stock
from logbook.text.body_tokens import readings_reader
from logbook.text.clause_bodies import with_clauses, with_now
from logbook.text.clauses import Item
from logbook.text.entries import Written
from logbook.text.lexing import tokens
from logbook.text.meant_otherwise import check_body, fuel_is_pressure
from logbook.text.moves import read_fit, read_swap
from logbook.text.parsed import Body, Head
from logbook.text.slots import read_pull, read_row, read_slots
from logbook.text.state import State
from logbook.text.subjects import read_elements
from logbook.text.told_causes import read_sentence, with_its_part
from logbook.text.unread import Unread
from logbook.text.vocabulary import KINDS, SPARES, fold, part_named
from logbook.text.wordings import read_codes, read_engine, read_facts, read_file, read_text, read_word

_SAYS_ALL = frozenset({"none", "ok", "same", "not done", "stopped"})  # words that no other word can stand beside
_DROP = re.compile(r"\b(?:no )?drop(?:s|ped)?\b", re.IGNORECASE)
_BRACKET = re.compile(r"\([^()]*\)")
_TAKEN_OFF = frozenset({"unplug", "remove", "pull"})  # what is said of a cylinder that is made to miss


def read_body(head: Head, state: State, start: int, end: int) -> Body:
    """Reads ``state.text[start:end]`` as the body of an entry; raises ``Unread`` where nothing of it can be used."""
    while start < end and state.normal[start].isspace():
        start += 1
    while end > start and state.normal[end - 1].isspace():
        end -= 1
    bare = not (head.name or head.qualifiers)  # 'pull 2 boost: ...' is a run under load
    if head.kind.word in _TAKEN_OFF and bare and _DROP.search(_BRACKET.sub("", state.normal[head.span.start : end])):
        said = "How far the speed fell is a test, not something done."
        raise Unread(230, Span(head.span.start, end), said, "write it as a cut-out: the cylinder and the rpm lost")
    whole = head.kind.word == "cause" and (head.part or head.qualifiers)
    if start == end and not head.kind.bare and not whole:
        raise Unread(
            207, head.span, f"Nothing stands behind '{head.kind.word}'.", f"write for example '{head.kind.example}'"
        )
    if head.kind.word == "fuel":
        head, start = fuel_is_pressure(head, state, start, end, KINDS["fuel pressure"])
    check_body(head, state, start, end)
    body = _READERS[head.kind.subjects](head, state, start, end)
    body.kind = head.kind
    return body


def _readings(head: Head, state: State, start: int, end: int) -> Body:
    reader = readings_reader(head, state)
    return with_clauses(lambda h, s, items: reader.read(items), head, state, start, end)


def _cyl(head: Head, state: State, start: int, end: int) -> Body:
    body = _readings(head, state, start, end)
    if head.kind.word == "cut-out":
        body.readings = tuple(map(_no_drop, body.readings))
    return body


def _no_drop(written: Written) -> Written:
    """'4 no change': the engine ran no worse without it, so it did no work."""
    value = written.value
    if value is None or value.word != "same" or {s.kind for s in written.subjects} - {"place", "bank"}:
        return written
    return written._replace(value=value._replace(word="none")) if written.subjects else written


def _any(head: Head, state: State, start: int, end: int) -> Body:
    if head.kind.word == "cause":
        body = read_sentence(head, state, start, end) or _readings(head, state, start, end)
        return body if head.part else with_its_part(body)
    return _readings(head, state, start, end)


def _part(head: Head, state: State, start: int, end: int) -> Body:
    if head.kind.word == "repair" and not head.part and not head.qualifiers and _is_prose(state, start, end):
        return with_now(head, state, start, end)
    return _readings(head, state, start, end)


def _is_prose(state: State, start: int, end: int) -> bool:
    first = tokens(state.normal, start, min(end, start + 60))[:1]
    return (
        bool(first)
        and first[0].kind == "word"
        and not read_elements(first, 0, False)
        and len(state.normal[start:end].split()) >= 2
    )


def _one(head: Head, state: State, start: int, end: int) -> Body:
    def read(h: Head, s: State, items: list[Item]) -> tuple[Written, ...]:
        found = readings_reader(h, s).read(items)
        bare = [w for w in found if not any(x.kind == "slot" for x in w.subjects)]
        if len(bare) > 1:
            merged = _word_and_number(bare)
            if merged is not None:
                return (merged,)
            for extra in bare[1:]:
                s.tell(
                    Unread(225, extra.span, f"'{h.kind.word}' takes one value a line.", "put it on a line of its own")
                )
            return tuple(w for w in found if w not in bare[1:])
        return found

    return with_clauses(read, head, state, start, end)


def _bank(head: Head, state: State, start: int, end: int) -> Body:
    def read(h: Head, s: State, items: list[Item]) -> tuple[Written, ...]:
        found = readings_reader(h, s).read(items)
        if fold(s.normal[h.span.start : h.span.end]) == "lambda":
            found = tuple(map(_as_lambda, found))
        whole = None if any(w.subjects for w in found) else _word_and_number(list(found))
        return (whole,) if whole is not None else found

    return with_clauses(read, head, state, start, end)


def _as_lambda(written: Written) -> Written:
    """'lambda: 0.98' has its unit in its name."""
    quantity = written.value.quantity if written.value else None
    if written.value is None or quantity is None or quantity.unit_written:
        return written
    return written._replace(value=written.value._replace(quantity=quantity._replace(unit="lambda", unit_written=True)))


def _word_and_number(found: list[Written]) -> Written | None:
    """'flicks, 12-16' or 'slow, no-start': at most one number, and words beside it, are one reading."""
    numbers = [w for w in found if w.value and w.value.quantity]
    words = [w for w in found if w.value and w.value.word]
    if len(found) < 2 or len(numbers) > 1 or len(numbers) + len(words) != len(found):
        return None
    told = list(dict.fromkeys(w.value.word for w in words if w.value))
    first = (numbers or words)[0]
    value = first.value
    assert value is not None
    if not numbers:
        told.remove(value.word)
        if {value.word, *told} & _SAYS_ALL and told:
            return None
    return first._replace(
        value=value._replace(remark=" ".join((*told, value.remark)).strip(), remark_words=(*told, *value.remark_words)),
    )


def _swap(head: Head, state: State, start: int, end: int) -> Body:
    return with_clauses(lambda h, s, items: read_swap(items, h.kind.word, h.part, h.engine, s), head, state, start, end)


def _fit(head: Head, state: State, start: int, end: int) -> Body:
    part = head.part or ("" if head.qualifiers else _part_inside(state, start, end))
    if not part and not head.qualifiers:
        raise _no_part(head, state, start, end)
    body = with_clauses(lambda h, s, items: read_fit(items, part, h.engine, s), head, state, start, end)
    body.part = part
    return body


def _part_inside(state: State, start: int, end: int) -> str:
    """'fit new coil in 4': the part's kind stands behind the word for its state."""
    first = tokens(state.normal, start, min(end, start + 60))[:2]
    return part_named(first[1].text) if len(first) == 2 and first[0].text.casefold() in SPARES else ""


def _no_part(head: Head, state: State, start: int, end: int) -> Unread:
    span = Span(start, end) if end > start else head.span
    words = state.said(Span(start, end)).split()
    part = next((named for word in words if (named := part_named(word))), "")
    said = " ".join(word for word in words if word.casefold() not in ("a", "an", "the") and not part_named(word))
    if not said:
        mend = f"name the part: '{head.kind.example}'"
    elif part:
        mend = f"write '{head.kind.word} {part}: {said}'"
    else:
        mend = f"name the part: '{head.kind.word} coil {said}', or lead, plug, injector"
    return Unread(214, span, f"{head.kind.word} of what?", mend)


def _swap_checked(head: Head, state: State, start: int, end: int) -> Body:
    if not head.part:
        raise _no_part(head, state, start, end)
    return _swap(head, state, start, end)


_READERS: MappingProxyType[str, Callable[[Head, State, int, int], Body]] = MappingProxyType(
    {
        "text": read_text,
        "word": read_word,
        "file": read_file,
        "engine": read_engine,
        "facts": read_facts,
        "cyl": _cyl,
        "part": _part,
        "bank": _bank,
        "bolt": _readings,
        "bearing": _readings,
        "any": _any,
        "one": _one,
        "many": read_many,
        "group": read_group,
        "stock": read_stock,
        "swap": _swap_checked,
        "fit": _fit,
        "codes": read_codes,
        "slots": read_slots,
        "free slots": read_slots,
        "pull": read_pull,
        "row": read_row,
    }
)
