"""What ``check`` says of a log: its problems in order, as text for people and as JSON for scripts."""

from __future__ import annotations

import json
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass

from logbook.problems import Problem, Weight
from logbook.spans import Span
from logbook.text.entries import LineCount, Log
from logbook.text.faults import problem
from logbook.text.lines import recount
from logbook.text.source import LineIndex

_WIDEST = 100  # characters of a line that are shown
_BEFORE = 40  # of them before the marked place


@dataclass(frozen=True, slots=True)
class Checked:
    """One file's answer: counted lines, and problems sorted by place."""

    log: Log
    lines: LineCount
    problems: tuple[Problem, ...]

    @property
    def has_errors(self) -> bool:
        return any(p.weight is Weight.ERROR for p in self.problems)


def is_log(log: Log) -> bool:
    """Whether a file is a log at all: at least one line is an entry of the table."""
    return bool(log.entries)


def not_a_log(log: Log) -> Problem:
    """The problem of a file that was named directly and is no log."""
    return problem(
        123,
        Span(0, 0),
        "No line of this file is an entry of the table: it is not a log.",
        "begin it with 'job: what the matter is', or leave the file out",
    )


def checked(log: Log, more: Iterable[Problem] = ()) -> Checked:
    """A log with the problems of all stages; ``more`` are those that the reader did not find."""
    later = tuple(p for p in more if p not in log.problems)
    problems = tuple(sorted((*log.problems, *later), key=lambda p: (p.span.start, p.span.end, p.number, p.message)))
    return Checked(log, recount(log, later) if later else log.lines, problems)


def visible(text: str) -> str:
    """Text with control, bidirectional and other unseen characters written out, safe for a terminal."""
    if text.isascii() and text.isprintable():
        return text
    return "".join(_shown(character) for character in text)


def _shown(character: str) -> str:
    if character == "\t":
        return " "
    if unicodedata.category(character) in ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"):
        return f"<U+{ord(character):04X}>"
    return character


def as_text(answer: Checked) -> str:
    """Each problem with its file, line and column, the line with the place marked, and the mend; '' for none."""
    index = LineIndex(answer.log.text)
    lines = answer.log.text.split("\n")
    return "\n".join(_one(answer.log.path, fault, index, lines) for fault in answer.problems)


def _one(path: str, fault: Problem, index: LineIndex, lines: Sequence[str]) -> str:
    line, column = index.place(fault.span.start)
    told = [f"{visible(path)}:{line}:{column}: {fault.weight.value} {fault.number}: {visible(fault.message)}"]
    whole = lines[line - 1] if line <= len(lines) else ""
    if whole.strip():
        told.extend(_marked(whole, column, fault.span.end - fault.span.start))
    for other in fault.related:
        if index.place(other.start)[0] == line:
            continue
        there = index.place(other.start)[0]
        told.append(f"    see line {there}: {visible(lines[there - 1].strip()[:_WIDEST])}")
    told.append(f"    mend: {visible(fault.mend)}")
    return "\n".join(told) + "\n"


def _marked(whole: str, column: int, length: int) -> list[str]:
    first = max(0, column - 1 - _BEFORE) if len(whole) > _WIDEST else 0
    shown = whole[first : first + _WIDEST]
    at = column - 1 - first
    before = visible(shown[:at])
    under = visible(shown[at : at + max(length, 1)]) or " "
    lead = "... " if first else ""
    tail = " ..." if first + _WIDEST < len(whole) else ""
    return [f"    {lead}{visible(shown)}{tail}", f"    {' ' * (len(lead) + len(before))}{'^' * len(under)}"]


def as_json(answers: Iterable[Checked]) -> str:
    """The same for scripts, ASCII only."""
    files = [
        {"path": answer.log.path, "lines": asdict(answer.lines), "problems": _for_json(answer)} for answer in answers
    ]
    return json.dumps({"files": files}, indent=2, ensure_ascii=True)


def _for_json(answer: Checked) -> list[dict[str, object]]:
    index = LineIndex(answer.log.text)
    told: list[dict[str, object]] = []
    for fault in answer.problems:
        line, column = index.place(fault.span.start)
        told.append(
            {
                "number": fault.number,
                "weight": fault.weight.value,
                "line": line,
                "column": column,
                "message": fault.message,
                "mend": fault.mend,
            }
        )
    return told
