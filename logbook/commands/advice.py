"""``logbook next`` and ``logbook sheet``: what to test next, on the terminal and on paper."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

from logbook.build.discovery import SHOP_FILE, CannotRead, LogFile, find_logs, typed_file
from logbook.build.reading import Shop, is_log, read_log, read_shop
from logbook.build.stages import Card, Failure, attempt, conclude, read_card
from logbook.commands.screen import visible
from logbook.diagnosis.answers import Diagnosis, Step
from logbook.job import ledger
from logbook.job.donors import by_name
from logbook.job.file_faults import NOT_WORKED_OUT
from logbook.job.model import Job
from logbook.output.site import Refused
from logbook.output.writing import write_in_place
from logbook.pages.next_step import own_cautions, waits_for
from logbook.pages.phrases import Voice, voice_of
from logbook.pages.story import nothing_to_test
from logbook.pages.told import told
from logbook.pages.words import minutes_short, percent, sentence
from logbook.text import reader
from logbook.text.entries import Log

_SHOWN = 3  # steps
_WIDTH = 88
_PAGE_MARK = b"\n<!-- a test sheet, written by logbook -->\n"  # only what ends so is written over
_STYLE_MARK = b"\n/* of a test sheet, written by logbook */\n"


def diagnosed(name: str, typed: bytes | None = None) -> tuple[Job, Diagnosis]:
    """The job of one log, in the company of the logs beside it. Raises ``CannotRead``.

    ``typed``: what stands in an editor, in a file that need not be there yet; else the file is read.
    """
    file = _named(name) if typed is None else typed_file(name)
    if file.path == SHOP_FILE:
        raise CannotRead(f"{name} is the shop's file and holds no job: name a log")
    shop = read_shop(file.folder)
    log = read_log(file, shop) if typed is None else reader.read(file.path, typed, shop.log)
    if not is_log(log):
        raise CannotRead(f"{name} is not a log: it has no entries in it")
    near = find_logs([file.folder]) if Path(file.file).parent.is_dir() and file.folder else ()
    beside = [other for other in near if other.file != file.file]
    tried = [attempt(partial(read_card, other, shop)) for other in beside]
    cards = [card for card in tried if isinstance(card, Card)]  # another log that fails is no matter of this one
    concluded = attempt(partial(_concluded, file, log, shop, cards))
    if isinstance(concluded, Failure):
        raise CannotRead(f"{name} could not be worked out (problem {NOT_WORKED_OUT}): {concluded.message}")
    return concluded


def _named(name: str) -> LogFile:
    found = find_logs([name])
    if len(found) != 1 or not found[0].named:
        raise CannotRead(f"{name} is no file: name one log")
    return found[0]


def _concluded(file: LogFile, log: Log, shop: Shop, cards: Sequence[Card]) -> tuple[Job, Diagnosis]:
    job = ledger.build(log, shop.log, by_name(stock for card in cards for stock in card.stocks))
    lessons = [card.lesson for card in cards if card.lesson is not None]
    concluded = conclude(job, shop, lessons, Path(file.folder).name, Path(file.file).parent)
    return concluded.job, told(concluded.diagnosis, concluded.job)


def next_lines(name: str) -> list[str]:
    """What to test next, with minutes, cautions and what each outcome would mean."""
    return next_of(*diagnosed(name))


def next_of(job: Job, diagnosis: Diagnosis) -> list[str]:
    """The same of a job that is diagnosed."""
    return [visible(line) for line in _lines(job, diagnosis)]


def _lines(job: Job, diagnosis: Diagnosis) -> Iterator[str]:
    yield job.title
    lost, read = job.lines.problem, job.lines.entry + job.lines.problem
    if lost:
        are, it = ("is", "it") if lost == 1 else ("are", "them")
        yield from _wrapped(f"{lost} of {read} lines {are} not understood: this answer leaves {it} out.")
    for said in diagnosis.stand:
        yield from _wrapped(said)
    waits = [(step, waits_for(job, step)) for step in diagnosis.next]
    ready = [step for step, why in waits if not why]
    if not ready:
        yield ""
        yield from _wrapped(nothing_to_test(job, diagnosis))
    for number, step in enumerate(ready[:_SHOWN], start=1):
        yield ""
        yield from _step_lines(voice_of(job.units), number, step, own_cautions(job))
    for step, why in waits:
        if why:
            yield ""
            yield from _wrapped(f"Can’t do yet: {sentence(step.title)} {sentence(why)}")
    if diagnosis.tuning_blocked:
        yield ""
        yield from _wrapped(diagnosis.tuning_blocked)


def _step_lines(voice: Voice, number: int, step: Step, own: Sequence[str]) -> Iterator[str]:
    """``own`` are the cautions of the job's own log: they stand with every test."""
    tools = f"; {', '.join(step.tools)}" if step.tools else ""
    yield f"{number}. {voice.retell(step.title)}  ({minutes_short(step.minutes)}{tools})"
    yield from _wrapped(voice.retell(step.why), "   ")
    for caution in step.cautions:
        yield from _wrapped(f"Danger: {voice.retell(caution)}", "   ")
    for caution in own:
        yield from _wrapped(f"On this machine: {caution}", "   ")
    foretold = any(outcome.probability for outcome in step.outcomes)  # of a first look nothing is
    for outcome in step.outcomes:
        chance = f", {percent(outcome.probability)}" if foretold else ""
        yield from _wrapped(f"{outcome.word}{chance}: {voice.retell(outcome.means)}", "   - ", "     ")
    if step.log_as:
        yield f"   write:  {step.to_write}"


def _wrapped(text: str, first: str = "", rest: str | None = None) -> list[str]:
    return textwrap.wrap(text, _WIDTH, initial_indent=first, subsequent_indent=first if rest is None else rest)


def write_sheet(name: str, to: Path | None) -> tuple[Path, Path]:
    """A page to print, and its stylesheet beside it. Raises ``Refused`` where another file stands in the way."""
    from logbook.output.static import static_files
    from logbook.output.templates import render
    from logbook.pages.sheet import blank_sheet

    job, diagnosis = diagnosed(name)
    target = to or Path(name).with_name(f"{Path(name).stem}-sheet.html")
    if target.suffix.lower() not in (".html", ".htm"):
        raise Refused(f"{target} is no name of a page", f"write --to {target.with_suffix('.html')}")
    style = target.with_suffix(".css")
    for path, mark in ((target, _PAGE_MARK), (style, _STYLE_MARK)):
        if path.is_dir() or (path.exists() and not path.read_bytes().endswith(mark)):
            raise Refused(f"{path} is there already and is no test sheet", "give --to another name", (str(path),))
    page = blank_sheet(job, diagnosis)
    page = replace(page, sheet=replace(page.sheet, path=target.name, scripts=()))
    files = {file.name: file.content for file in static_files()}
    html = render("pages/sheet.html", page, static={"style.css": style.name})
    write_in_place(style, [files["style.css"], _STYLE_MARK])
    write_in_place(target, [*html, _PAGE_MARK])
    return target, style
