"""Problems: everything that the reader could not use or doubts, by file and line, and what each number means."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from logbook.pages import frame
from logbook.pages.frame import Field, Link, Sheet
from logbook.pages.words import capital, counted
from logbook.problems import Problem, Weight

_LONGEST_LINE = 160  # characters of a line that are shown around the place


@dataclass(frozen=True, slots=True)
class ProblemLine:
    """One problem with the line it is about; ``before``, ``at`` and ``after`` are the line around the place."""

    number: int
    weight: str  # error, doubt, hint
    line: int
    column: int
    before: str
    at: str
    after: str
    message: str
    mend: str


@dataclass(frozen=True, slots=True)
class ProblemFile:
    id: str
    path: str
    job: Link | None
    summary: str
    lines: tuple[ProblemLine, ...]


@dataclass(frozen=True, slots=True)
class Explanation:
    """What a number means: ``wrong`` and ``right`` are a line as it was written and as it should be."""

    number: int
    weight: str
    title: str
    text: str
    wrong: str = ""
    right: str = ""


@dataclass(frozen=True, slots=True)
class ProblemsPage:
    sheet: Sheet
    files: tuple[ProblemFile, ...]
    explanations: tuple[Explanation, ...]


def problem_lines(problems: Iterable[Problem], text: str) -> tuple[ProblemLine, ...]:
    """The problems of one file in the order of its lines; ``text`` is the file as decoded, LF only."""
    return tuple(_line(p, text) for p in sorted(problems, key=lambda p: (p.span, p.number)))


def problem_file(path: str, problems: Sequence[Problem], text: str, job: Link | None, ordinal: int = 0) -> ProblemFile:
    """One file's problems under a heading; its anchor is settled when the page is made of all files."""
    counts = [
        counted(sum(p.weight == w for p in problems), w.value) for w in Weight if any(p.weight == w for p in problems)
    ]
    return ProblemFile(f"file-{ordinal}", path, job, ", ".join(counts), problem_lines(problems, text))


def problems_page(files: Sequence[ProblemFile], explanations: Sequence[Explanation], shop: str) -> ProblemsPage:
    """The page over all logs. It exists in the shop's own copy alone."""
    shown = tuple(replace(f, id=f"file-{n}") for n, f in enumerate((f for f in files if f.lines), 1))
    met = {line.number for f in shown for line in f.lines}
    weights = [(w, sum(line.weight == w for f in shown for line in f.lines)) for w in ("error", "doubt", "hint")]
    fields = (
        Field("Errors", f"{weights[0][1]}, not used"),
        Field("Doubts", f"{weights[1][1]}, used and marked"),
        Field("Hints", str(weights[2][1])),
        Field("Logs to fix", str(len(shown))),
    )
    sheet = Sheet(
        path=frame.PROBLEMS,
        title="Lines to fix",
        page_title=f"Lines to fix, {shop}" if shop else "Lines to fix",
        description="Every line that could not be used or is doubted, by file, with its mend.",
        shop=shop,
        fields=fields,
        ways=tuple(Link(f.path, anchor=f.id) for f in shown),
        foot="Lines are counted from 1; a column counts letters from 1",
        scripts=("reload.js",),
    )
    return ProblemsPage(sheet, shown, tuple(e for e in explanations if e.number in met))


def _line(problem: Problem, text: str) -> ProblemLine:
    start = min(problem.span.start, len(text))
    first = text.rfind("\n", 0, start) + 1
    last = text.find("\n", start)
    last = len(text) if last < 0 else last
    end = min(max(problem.span.end, start), last)
    window = max(first, start - _LONGEST_LINE // 2)
    stop = min(last, max(end, start) + _LONGEST_LINE // 2)
    return ProblemLine(
        problem.number,
        problem.weight.value,
        text.count("\n", 0, start) + 1,
        start - first + 1,
        ("…" if window > first else "") + visible(text[window:start]),
        visible(text[start : min(end, stop)]),
        visible(text[min(end, stop) : stop]) + ("…" if stop < last else ""),
        visible(problem.message),
        capital(visible(problem.mend)),
    )


_BIDI = frozenset("\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def visible(text: str) -> str:
    """Control and bidirectional characters as their code points, so that a line is seen as it is."""
    if text.isprintable():
        return text
    return "".join(c if (c.isprintable() and c not in _BIDI) or c == " " else _shown(c) for c in text)


def _shown(character: str) -> str:
    return "\u2192" if character == "\t" else f"<U+{ord(character):04X}>" if not character.isspace() else " "
