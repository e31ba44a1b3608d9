"""Problems of a log as the protocol's diagnostics, and their fixes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

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


def fixes(typed: Typed, uri: str, asked: Range) -> list[CodeAction]:
    """Whole lines that may be written in place of those in a range: each was read before it is offered."""
    found = []
    for problem in typed.problems:
        place = typed.positions.range_of(problem.span)
        if place.end.line < asked.start.line or place.start.line > asked.end.line:
            continue
        for line in _lines(problem):
            edit = TextEdit(typed.positions.whole_line(place.start.line), line.replace("\n", typed.positions.line_end))
            found.append(
                CodeAction(
                    title=f"Write: {line.replace(chr(10), ' + ')}",
                    kind=CodeActionKind.QuickFix,
                    diagnostics=[_diagnostic(typed, uri, problem)],
                    edit=WorkspaceEdit(changes={uri: [edit]}),
                )
            )
    return found


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
