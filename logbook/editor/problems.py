"""Problems of a log as the protocol's diagnostics, and their fixes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher

from lsprotocol.types import (
    CodeAction,
    CodeActionKind,
    Diagnostic,
    DiagnosticRelatedInformation,
    DiagnosticSeverity,
    InlayHint,
    Location,
    Position,
    Range,
    TextEdit,
    WorkspaceEdit,
)

from logbook.commands.terminal import HEARD
from logbook.editor.typed import Typed
from logbook.problems import Problem, Weight

_SEVERITY = {
    Weight.ERROR: DiagnosticSeverity.Error,
    Weight.DOUBT: DiagnosticSeverity.Warning,
    Weight.HINT: DiagnosticSeverity.Hint,
}


def diagnostics(typed: Typed, uri: str) -> list[Diagnostic]:
    """Every problem that ``logbook check`` tells, at its place."""
    return [_diagnostic(typed, uri, problem) for problem in typed.problems]


def _diagnostic(typed: Typed, uri: str, problem: Problem) -> Diagnostic:
    related = [
        DiagnosticRelatedInformation(Location(uri, typed.positions.range_of(span)), "this one")
        for span in problem.related
    ]
    return Diagnostic(
        range=typed.positions.range_of(problem.span),
        message=f"{problem.message} {problem.mend}".strip(),
        severity=_SEVERITY[problem.weight],
        code=problem.number,
        source="logbook",
        related_information=related or None,
    )


def fixes(typed: Typed, uri: str, asked: Range, tidied: str) -> list[CodeAction]:
    """Whole lines that may be written in place of those in a range: each was read before it is offered.

    Those that problems offer come first, then the tidy form of each line, out of the whole text as it is ``tidied``.
    """
    found = []
    offered = set()
    for problem in typed.problems:
        place = typed.positions.range_of(problem.span)
        if place.end.line < asked.start.line or place.start.line > asked.end.line:
            continue
        for line in _lines(problem):
            found.append(_fix(typed, uri, place.start.line, line, [_diagnostic(typed, uri, problem)]))
            offered.add((place.start.line, line))
    for number, line in _tidy_lines(typed, tidied):
        if asked.start.line <= number <= asked.end.line and (number, line) not in offered:
            found.append(_fix(typed, uri, number, line, None))
    return found


def _fix(typed: Typed, uri: str, number: int, line: str, mended: list[Diagnostic] | None) -> CodeAction:
    edit = TextEdit(typed.positions.whole_line(number), line.replace("\n", typed.positions.line_end))
    return CodeAction(
        title=f"Write: {line.replace(chr(10), ' + ')}",
        kind=CodeActionKind.QuickFix,
        diagnostics=mended,
        edit=WorkspaceEdit(changes={uri: [edit]}),
    )


def _tidy_lines(typed: Typed, tidied: str) -> Iterator[tuple[int, str]]:
    """Each line that is not tidy, where one line stands in its place in the tidy text."""
    old = [typed.positions.line(number) for number in range(typed.positions.end.line + 1)]
    new = tidied.replace("\r\n", "\n").split("\n")
    for what, start, end, begin, until in SequenceMatcher(None, old, new, autojunk=False).get_opcodes():
        if what == "replace" and end - start == until - begin:
            yield from zip(range(start, end), new[begin:until], strict=True)


def _lines(problem: Problem) -> Sequence[str]:
    """What may stand in place of the line; a heard line is several lines at once, not a choice of them."""
    return ("\n".join(problem.choices),) if problem.number == HEARD and problem.choices else problem.choices


def read_back(typed: Typed, asked: Range) -> Iterator[InlayHint]:
    """What a loosely written line was heard as, at its end."""
    for problem in typed.problems:
        line = typed.positions.range_of(problem.span).start.line
        if problem.number == HEARD and asked.start.line <= line <= asked.end.line:
            end = typed.positions.whole_line(line).end
            yield InlayHint(Position(end.line, end.character), problem.message, padding_left=True)
