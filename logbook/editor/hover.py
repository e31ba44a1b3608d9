"""What is known of the thing under the cursor: a problem, a part, a cylinder, a reading, a kind."""

from __future__ import annotations

from collections.abc import Iterator

from lsprotocol.types import Position

from logbook.commands.checking import explanation
from logbook.diagnosis.answers import Diagnosis
from logbook.editor.line import line_of
from logbook.editor.names import cylinder_at, tag_at
from logbook.editor.typed import Typed
from logbook.job.model import Job, Part, Reading
from logbook.pages.values import value_words
from logbook.pages.words import capital, percent, sentence
from logbook.text.kinds import Kind

_MOST = 6  # readings and causes that are named


def hover(typed: Typed, position: Position, diagnosis: Diagnosis | None) -> str:
    """Markdown for a position; "" where there is nothing to say. ``diagnosis`` is None until there is one."""
    line = typed.positions.line(position.line)
    start = typed.positions.offset(Position(position.line, 0))
    at = typed.positions.offset(position) - start
    row = line_of(line).kind
    colon = line.find(":")
    said = [*_problems(typed, typed.positions.in_read(start + at))]
    if tag := tag_at(typed, position):
        said += _part(typed, tag)
    elif row is not None and (colon < 0 or at <= colon):
        said += _kind(row)
    elif row is not None and typed.job is not None and (cylinder := cylinder_at(typed, position)):
        said += [*_readings(typed.job, row, cylinder), *_state(cylinder, diagnosis)]
    return "\n\n".join(said)


def _problems(typed: Typed, offset: int) -> Iterator[str]:
    for problem in typed.problems:
        if problem.span.start <= offset <= problem.span.end and (told := explanation(problem.number)):
            yield told.strip()


def _kind(row: Kind) -> Iterator[str]:
    yield f"**{row.word}** {row.means}"
    yield f"For example: `{row.example}`"
    if row.words:
        yield f"Results in words: {', '.join(row.words)}"
    if row.caution:
        yield f"Danger: {row.caution}"


def _part(typed: Typed, tag: str) -> Iterator[str]:
    """Where a part stood, what was measured of it, and whether it left."""
    job = typed.job
    part = next((p for p in job.parts if p.tag.upper() == tag), None) if job else None
    if job is None or part is None:
        return
    from_donor = f", from {part.donor}" if part.donor else ""
    yield f"**{capital(part.called())}**{from_donor}"
    walk = [f"cylinder {s.place.cylinder}" for s in sorted(job.stays, key=lambda s: s.since) if s.part == part.id]
    yield f"Stood in: {', then '.join(walk)}" if walk else "Never stood in an engine of this log."
    yield from _measured(job, part)
    gone = next((t.kind for t in job.trades if t.kind in ("sent", "scrap") and part.id in t.parts), "")
    if gone:
        yield sentence(gone)


def _measured(job: Job, part: Part) -> Iterator[str]:
    of_it = [r for r in job.readings if r.part == part.id and r.counts]
    if of_it:
        yield "Read of it: " + ", ".join(f"{r.test} {value_words(r.value)}" for r in of_it[-_MOST:])


def _readings(job: Job, row: Kind, cylinder: int) -> Iterator[str]:
    """The same test at the same cylinder, earlier and later, and what its neighbours read last."""
    of_test = [r for r in job.readings if r.test == row.word and r.counts and r.place is not None]
    here = [r for r in of_test if r.place and r.place.cylinder == cylinder]
    if here:
        yield f"{capital(row.word)} at {cylinder}: " + ", ".join(_dated(job, r) for r in here[-_MOST:])
    last = {r.place.cylinder: r for r in of_test if r.place and r.place.cylinder != cylinder}
    if last:
        yield "The others: " + ", ".join(f"{c} {value_words(last[c].value)}" for c in sorted(last))


def _dated(job: Job, reading: Reading) -> str:
    day = next((i.entry.day for i in job.entries if i.entry.index == reading.entry), None)
    return f"{value_words(reading.value)}{f' ({day})' if day else ''}"


def _state(cylinder: int, diagnosis: Diagnosis | None) -> Iterator[str]:
    if diagnosis is None:
        return
    state = next((s for place, s in diagnosis.states if place.cylinder == cylinder), "")
    if state:
        yield f"Cylinder {cylinder} now: {state}"
    answer = next((c for c in diagnosis.cylinders if c.place.cylinder == cylinder), None)
    if answer and answer.causes:
        first = answer.causes[0]
        yield f"Likeliest: {first.label}, {percent(first.probability)}"
