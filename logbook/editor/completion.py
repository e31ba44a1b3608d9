"""What may be written where the cursor stands, out of the table of kinds and of what this log has."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from pathlib import Path

from lsprotocol.types import (
    CompletionItem,
    CompletionItemKind,
    InsertTextFormat,
    Position,
    Range,
    TextEdit,
)

from logbook.editor.line import Line, line_of
from logbook.editor.typed import Typed
from logbook.text.kinds import TABLE, Kind
from logbook.text.vocabulary import CONDITION_WORDS, MOVING_PARTS, PART_WORDS, SPARES, STATES
from logbook.units import UNITS

_WORD = re.compile(r"[\w.'-]*$")
_NUMBER_BEFORE = re.compile(r"\d\s+$|\d$")
_OF_THE_SHOP = "The shop's file"
_MOST_FILES = 200
_FILES = re.compile(r"\.(?:jpe?g|png|webp|csv|wav|mp4|mov)$", re.IGNORECASE)
_CONDITION_UNITS = ("rpm", "min", "s", "psi", "bar", "C", "F", "km", "mile")


def complete(typed: Typed, position: Position, snippets: bool) -> list[CompletionItem]:
    """Items for a position, in the order of their use; none in a note."""
    whole = typed.positions.line(position.line)
    start = typed.positions.offset(Position(position.line, 0))
    before = whole[: typed.positions.offset(position) - start]
    if before[:1].isspace():
        return []
    line = line_of(before)
    if line.body is None:
        return _heads(typed, position, line, snippets)
    word = _WORD.search(before)
    begin = typed.positions.at(start + (word.start() if word else len(before)))
    place = Range(begin, position)
    return [
        CompletionItem(label=said, kind=sort, text_edit=TextEdit(place, said), sort_text=f"{n:03}")
        for n, (said, sort) in enumerate(dict.fromkeys(_bodies(typed, line.kind, line.body)))
    ]


def _heads(typed: Typed, position: Position, line: Line, snippets: bool) -> list[CompletionItem]:
    """Kinds; behind a kind and a blank its qualifiers and parts."""
    if line.kind is not None and line.head.endswith(" "):
        row = line.kind
        parts = _parts(typed, row) if "PART" in row.qualifiers else ()
        said = [q for q in row.qualifiers if not q.isupper()] + list(parts)
        return [
            CompletionItem(label=w, kind=CompletionItemKind.Property, sort_text=f"{n:03}") for n, w in enumerate(said)
        ]
    begin = Position(position.line, max(0, position.character - len(line.head)))
    place = Range(begin, position)
    return [_kind_item(typed, row, place, snippets) for row in TABLE if row.heading != _OF_THE_SHOP]


def _parts(typed: Typed, row: Kind) -> list[str]:
    """The moving parts that this engine has, and the others where the kind is of more than those."""
    engine = typed.job.engines[0] if typed.job and typed.job.engines else None
    moving = [part for part in MOVING_PARTS if engine is None or part in engine.part_kinds]
    return moving if row.action else [*moving, *(part for part in PART_WORDS if part not in MOVING_PARTS)]


def _kind_item(typed: Typed, row: Kind, place: Range, snippets: bool) -> CompletionItem:
    blank = blank_line(row, _cylinders(typed)) if snippets else ""
    return CompletionItem(
        label=row.word,
        kind=CompletionItemKind.Keyword,
        detail=row.means,
        documentation=f"For example: {row.example}",
        filter_text=row.word,
        insert_text_format=InsertTextFormat.Snippet if snippets else InsertTextFormat.PlainText,
        text_edit=TextEdit(place, blank or f"{row.word}: "),
    )


def blank_line(row: Kind, cylinders: Iterable[int]) -> str:
    """'compression: 1 ${1}, 2 ${2}': a line of the kind with a gap for each cylinder, in the syntax of snippets."""
    numbers = list(cylinders)
    if row.subjects != "cyl" or not numbers or not (row.dimension or row.words):
        return f"{row.word}: $0"
    return f"{row.word}: {', '.join(f'{c} ${{{n}}}' for n, c in enumerate(numbers, start=1))}"


def _cylinders(typed: Typed) -> tuple[int, ...]:
    return tuple(typed.job.engines[0].cylinders) if typed.job and typed.job.engines else ()


def _bodies(typed: Typed, row: Kind | None, body: str) -> Iterator[tuple[str, CompletionItemKind]]:
    if row is None:
        return
    if row.subjects == "file" or row.word in ("photo", "film", "trace"):
        yield from ((name, CompletionItemKind.File) for name in files_beside(typed.path))
        return
    if row.subjects == "text":
        return
    clause = body.rpartition("@")
    if clause[1]:
        if _NUMBER_BEFORE.search(clause[2]):
            yield from ((unit, CompletionItemKind.Unit) for unit in _CONDITION_UNITS)
        yield from ((word, CompletionItemKind.Constant) for word in CONDITION_WORDS)
        return
    if re.search(r"\bnow\b", body):
        yield from ((word, CompletionItemKind.Value) for word in (*STATES, "same", "moved"))
    if _NUMBER_BEFORE.search(body):
        yield from ((unit, CompletionItemKind.Unit) for unit in _units(row))
    yield from ((word, CompletionItemKind.Value) for word in row.words)
    yield from ((str(c), CompletionItemKind.Variable) for c in _cylinders(typed) if row.subjects in _PLACED)
    if row.subjects in ("part", "fit", "swap", "stock", "any"):
        tags = [part.tag for part in typed.job.parts if part.tag] if typed.job else []
        yield from ((tag, CompletionItemKind.Reference) for tag in tags)
    if row.subjects == "fit":
        yield from ((word, CompletionItemKind.Value) for word in (*SPARES, "in"))
    yield from ((slot.name, CompletionItemKind.Property) for slot in row.slots)
    if row.action:
        yield "now", CompletionItemKind.Keyword


_PLACED = frozenset({"cyl", "part", "fit", "swap", "any"})


def _units(row: Kind) -> list[str]:
    """Units of the kind, the usual ones first."""
    usual = [u for u in (row.metric, row.us) if u in UNITS]
    return [*usual, *(name for name, unit in UNITS.items() if unit.dimension == row.dimension and row.dimension)]


def files_beside(path: str) -> list[str]:
    """Pictures and recordings in the folder of the log, and in the folders in it, as the log would name them."""
    folder = Path(path).parent
    try:
        near = [*folder.iterdir(), *(f for d in sorted(folder.iterdir()) if d.is_dir() for f in d.iterdir())]
    except OSError:
        return []
    found = sorted(f.relative_to(folder).as_posix() for f in near if _FILES.search(f.name) and f.is_file())
    return found[:_MOST_FILES]
