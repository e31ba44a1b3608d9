"""Where entries, days and tags stand in a typed log: outline, definition, all places, another name."""

from __future__ import annotations

import re
from collections.abc import Iterator

from lsprotocol.types import DocumentSymbol, Position, Range, SymbolKind, TextEdit

from logbook.editor.typed import Typed

_TAG = re.compile(r"(?<![\w/])[A-Za-z]\d{1,3}(?![\w/])")
_RUN = re.compile(r"(?<![\w/])([A-Za-z])(\d{1,3})-([A-Za-z])?(\d{1,3})(?!\w)")
_NUMBER = re.compile(r"(?<![\w.])\d{1,2}(?![\w.])")
_NEW = re.compile(r"[A-Z]\d{1,3}")


class InARun(Exception):
    """The tag stands in a run of tags, which has no place for another name; the text says where."""


def outline(typed: Typed) -> list[DocumentSymbol]:
    """The card, then each day with its entries."""
    if typed.log is None:
        return []
    lines = {entry.line: _symbol(typed, entry.line, entry.kind, SymbolKind.Field) for entry in typed.log.entries}
    days = sorted({day.line for day in typed.log.days})
    top = [lines[n] for n in sorted(lines) if not days or n < days[0]]
    for at, line in enumerate(days):
        until = days[at + 1] if at + 1 < len(days) else 1 << 30
        day = _symbol(typed, line, typed.positions.line(line - 1).strip(), SymbolKind.Event)
        day.children = [lines[n] for n in sorted(lines) if line < n < until]
        last = day.children[-1].range.end if day.children else day.range.end
        day.range = Range(day.range.start, last)
        top.append(day)
    return top


def _symbol(typed: Typed, line: int, name: str, kind: SymbolKind) -> DocumentSymbol:
    place = typed.positions.whole_line(line - 1)
    return DocumentSymbol(name or "?", kind, place, place, detail=typed.positions.line(line - 1).strip())


def tag_at(typed: Typed, position: Position) -> str:
    """The declared tag at a position; "" where there is none."""
    line = typed.positions.line(position.line)
    at = typed.positions.offset(position) - typed.positions.offset(Position(position.line, 0))
    word = next((m.group().upper() for m in _TAG.finditer(line) if m.start() <= at <= m.end()), "")
    return word if word in _tags(typed) else ""


def part_at(typed: Typed, position: Position) -> str:
    """The id of the part at a position: that of a tag, or the one that stood at a cylinder which the entry names."""
    job = typed.job
    if job is None:
        return ""
    if tag := tag_at(typed, position):
        return next(part.id for part in job.parts if part.tag.upper() == tag)
    cylinder = cylinder_at(typed, position)
    here = {item.entry.index for item in job.entries if item.entry.line == position.line + 1}
    read = (r.part for r in job.readings if r.entry in here and r.place and r.place.cylinder == cylinder and r.part)
    moved = (
        move.part
        for event in job.events
        if event.entry in here
        for move in event.moves
        if cylinder in {place.cylinder for place in (move.out_of, move.into) if place}
    )
    return next(moved, "") or next(read, "")


def cylinder_at(typed: Typed, position: Position) -> int:
    """The number at a position where it is a cylinder of an engine; 0 where it is none."""
    line = typed.positions.line(position.line)
    at = typed.positions.offset(position) - typed.positions.offset(Position(position.line, 0))
    found = next((int(m.group()) for m in _NUMBER.finditer(line) if m.start() <= at <= m.end()), 0)
    return found if typed.job and any(found in engine.cylinders for engine in typed.job.engines) else 0


def entries_of(typed: Typed, part: str) -> list[Range]:
    """Every line that moves a part, does something to it, reads it or trades it, and every place of its tag."""
    job = typed.job
    known = next((p for p in job.parts if p.id == part), None) if job else None
    if job is None or known is None:
        return []
    about = {r.entry for r in job.readings if r.part == part} | {t.entry for t in job.trades if part in t.parts}
    about |= {e.entry for e in job.events if part in e.parts or any(move.part == part for move in e.moves)}
    written = places_of(typed, known.tag.upper()) if known.tag else []
    lines = {item.entry.line - 1 for item in job.entries if item.entry.index in about}
    lines -= {place.start.line for place in written}
    return sorted([*written, *map(typed.positions.whole_line, lines)], key=_order)


def _tags(typed: Typed) -> frozenset[str]:
    return frozenset(part.tag.upper() for part in typed.job.parts if part.tag) if typed.job else frozenset()


def definition(typed: Typed, tag: str) -> Range | None:
    """The line that declares a tag."""
    part = next((p for p in typed.job.parts if p.tag.upper() == tag), None) if typed.job else None
    if part is None or typed.job is None or part.declared < 0:
        return None
    entry = next((item.entry for item in typed.job.entries if item.entry.index == part.declared), None)
    return typed.positions.whole_line(entry.line - 1) if entry else None


def places_of(typed: Typed, tag: str) -> list[Range]:
    """Every place where a tag is written, and every run that it stands in."""
    return sorted([*_alone(typed, tag), *_runs(typed, tag)], key=_order)


def _order(place: Range) -> tuple[int, int]:
    return place.start.line, place.start.character


def rename(typed: Typed, tag: str, new: str) -> list[TextEdit]:
    """A tag by another name all through the log. Raises ``InARun``, ``ValueError`` where the name cannot be."""
    new = new.strip().upper()
    if not _NEW.fullmatch(new):
        raise ValueError("a tag is a letter and a number, as B2")
    if new in _tags(typed):
        raise ValueError(f"{new} is another part of this log")
    if runs := list(_runs(typed, tag)):
        raise InARun(f"line {runs[0].start.line + 1} names {tag} in a run of tags: write {tag} by itself there first")
    return [TextEdit(place, new) for place in _alone(typed, tag)]


def _alone(typed: Typed, tag: str) -> Iterator[Range]:
    for number, line in _lines(typed):
        runs = [m.span() for m in _RUN.finditer(line)]
        for match in _TAG.finditer(line):
            in_run = any(a <= match.start() < b for a, b in runs)
            if match.group().upper() == tag and not in_run:
                yield _range(typed, number, *match.span())


def _runs(typed: Typed, tag: str) -> Iterator[Range]:
    letter, at = tag[0], int(tag[1:])
    for number, line in _lines(typed):
        for match in _RUN.finditer(line):
            if match[1].upper() == letter and int(match[2]) <= at <= int(match[4]):
                yield _range(typed, number, *match.span())


def _lines(typed: Typed) -> Iterator[tuple[int, str]]:
    for number in range(typed.positions.end.line + 1):
        yield number, typed.positions.line(number)


def _range(typed: Typed, line: int, start: int, end: int) -> Range:
    begin = typed.positions.offset(Position(line, 0))
    return Range(typed.positions.at(begin + start), typed.positions.at(begin + end))
