"""The blank test sheet: the tests that are next, in order, with boxes to fill in beside the truck.

Each box, filled in, is a reading of the log line it stands in, so a sheet is typed in line by line.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from logbook.diagnosis.answers import Diagnosis, Step
from logbook.job.model import Engine, Job
from logbook.pages.frame import Copy, Field, Sheet
from logbook.pages.next_step import own_cautions, waits_for
from logbook.pages.phrases import voice_of
from logbook.pages.story import nothing_to_test
from logbook.pages.values import unit_sign
from logbook.pages.words import capital, date_words, listed, minutes_short
from logbook.text.vocabulary import KINDS, STATES, Kind

MOST_TESTS = 6
_BY_CYLINDER = ("cyl", "part", "any", "swap", "fit")
_NUMBER = re.compile(r"(?<![\w.])#?(\d{1,2})(?![\w.])")

# What the log should say of the moment: (label before the box, unit after it, words to ring).
_CONDITIONS: dict[str, tuple[tuple[str, str, tuple[str, ...]], ...]] = {
    "cut-out": (("", "rpm", ()), ("", "", ("warm", "cold"))),
    "compression": (("", "", ("warm", "cold")), ("", "", ("throttle open",))),
    "leak-down": (("", "", ("warm", "cold")),),
    "resistance": (("", "temperature", ()),),
    "flow": (("", "s", ()), ("", "pressure", ()), ("", "", ("test fluid", "petrol"))),
    "feed": (("", "", ("key on", "running")),),
    "port temperature": (("", "rpm", ()),),
}
_BY_HABIT = {"temperature": ("F", "C"), "pressure": ("psi", "bar")}  # us, metric


@dataclass(frozen=True, slots=True)
class Box:
    """A blank to fill in: ``label`` before it, ``unit`` after it, or ``words`` of which one is ringed.

    ``label``, ``unit`` and ``words`` are as the log writes them; ``sign`` is the unit as the sheet prints it.
    """

    label: str
    unit: str = ""
    words: tuple[str, ...] = ()
    sign: str = ""

    def filled(self, value: str) -> str:
        """The reading as the log writes it; a word takes no unit."""
        unit = self.unit if value[:1].isdigit() or value[:1] in "+-." else ""
        return " ".join(filter(None, (self.label, value, unit)))


@dataclass(frozen=True, slots=True)
class SheetTest:
    """One test or action with its line of the log: ``head``, then the boxes, then the conditions after '@'."""

    title: str
    why: str
    minutes: str
    tools: str
    cautions: tuple[str, ...]
    own: tuple[str, ...]  # the job's own cautions
    head: str
    boxes: tuple[Box, ...]
    conditions: tuple[Box, ...]

    def line(self, values: Sequence[str], conditions: Sequence[str]) -> str:
        """The log's line for what was filled in; an empty box is left out."""
        said = [box.filled(value) for box, value in zip(self.boxes, values, strict=True) if value]
        after = [box.filled(value) for box, value in zip(self.conditions, conditions, strict=True) if value]
        body = f"{self.head} {', '.join(said)}".rstrip()
        return f"{body} @ {', '.join(after)}" if after else body


@dataclass(frozen=True, slots=True)
class BlankSheet:
    """The page. ``lines`` numbers the blank lines for what else was seen."""

    sheet: Sheet
    tests: tuple[SheetTest, ...]
    waiting: tuple[str, ...]  # tests left off for want of a tool: 'what, why'
    lines: tuple[int, ...] = (1, 2, 3, 4)
    nothing: str = ""


def blank_sheet(job: Job, diagnosis: Diagnosis, copy: Copy = "shop") -> BlankSheet:
    """The sheet for what is next in a job."""
    waits = [(s, waits_for(job, s)) for s in diagnosis.next]
    ready = [s for s, why in waits if not why][:MOST_TESTS]
    tests = tuple(sheet_test(step, job) for step in ready)
    whole = sum(s.minutes for s in ready)
    frame = Sheet(
        f"{job.address}/sheet.html",
        f"To test: {job.title}",
        f"Blank test sheet for {job.title}: {', '.join(t.title for t in tests)}",
        f"Test sheet: {job.title}",
        job.shop,
        copy,
        "Test sheet, to fill in beside the engine",
        (
            Field("Job", job.title),
            Field("As of", date_words(job.last_day)),
            Field("Time", minutes_short(whole) if ready else "none"),
            Field("Tools", listed(sorted({t for s in ready for t in s.tools})) or "none"),
        ),
        alone=True,
        foot="Ring one word, write one number; an empty box was not tested. Type each line into the log as it stands.",
    )
    waiting = tuple(f"{s.title}: {why}" for s, why in waits if why)[:MOST_TESTS]
    nothing = "" if tests else nothing_to_test(job, diagnosis)
    return BlankSheet(frame, tests, waiting, nothing=nothing)


def sheet_test(step: Step, job: Job) -> SheetTest:
    """A step as lines and boxes."""
    kind = KINDS.get(step.kind)
    head, seen = _head(step)
    voice = voice_of(job.units)
    return SheetTest(
        voice.retell(step.title),
        capital(voice.retell(step.why)),
        minutes_short(step.minutes),
        listed(step.tools) or "none",
        tuple(voice.retell(c) for c in step.cautions),
        own_cautions(job),
        head,
        tuple(_boxes(step, kind, job, seen)),
        tuple(_conditions(step.kind, job)) if not seen else (),
    )


def _head(step: Step) -> tuple[str, bool]:
    """('swap coil 3 4: now', True) where the line tells what is seen after an action, else ('cut-out:', False)."""
    written = step.log_as.strip()
    if re.search(r"\bnow$", written):
        return written, True
    head = written.split(":", 1)[0] if written else step.kind
    return f"{head}:", False


def _boxes(step: Step, kind: Kind | None, job: Job, seen: bool) -> Iterable[Box]:
    engine = job.engines[0] if job.engines else None
    places = _places(step, engine)
    if seen:
        return [Box(str(place), words=STATES) for place in places] or [Box("", words=STATES)]
    unit = _usual_unit(kind, job) if kind else ""
    words = kind.words if kind else ()
    if kind and kind.subjects in _BY_CYLINDER and places:
        return [Box(str(place), unit, words, unit_sign(unit)) for place in places]
    return [Box("", unit, words, unit_sign(unit))]


def _places(step: Step, engine: Engine | None) -> tuple[int, ...]:
    """The cylinders that the step names or compares with, in the order of the plan; all where it names none."""
    if engine is None:
        return ()
    every = tuple(c for bank in engine.banks for c in bank.cylinders)
    compared = step.log_as.partition(":")[2] if " ," in step.log_as else ""
    named = {int(n) for n in _NUMBER.findall(f"{step.subject} {compared}")} & set(every)
    return tuple(c for c in every if c in named) if named else every


def _usual_unit(kind: Kind, job: Job) -> str:
    return kind.us if job.units == "us" else kind.metric


def _conditions(kind: str, job: Job) -> Iterable[Box]:
    for label, unit, words in _CONDITIONS.get(kind, ()):
        us, metric = _BY_HABIT.get(unit, (unit, unit))
        usual = us if job.units == "us" else metric
        yield Box(label, usual, words, unit_sign(usual))
