"""``logbook start``: the first lines of a log, from options or asked one by one, read back before they are written."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

import click

from logbook.commands.screen import visible
from logbook.commands.terminal import problem_lines
from logbook.job import ledger
from logbook.output.writing import write_in_place
from logbook.problems import Problem, Weight
from logbook.text import reader


@dataclass(frozen=True, slots=True)
class Question:
    """One line of the card: the option that gives it, the kind of entry, what is asked, an example."""

    option: str
    kind: str
    asked: str
    example: str


QUESTIONS = (
    Question("title", "job", "What is the job, in a few words", "Parcel van, shakes at the lights"),
    Question("vehicle", "vehicle", "What is the engine in", "2.5 l parcel van"),
    Question("symptom", "symptom", "What is wrong, as the customer says it", "shakes at idle since the rain"),
    Question("units", "units", "Units of your gauges, us or metric", "metric"),
    Question(
        "engine", "engine", "The engine", "V6, left 1 3 5, right 2 4 6, fires 1 2 3 4 5 6, coil on plug"
    ),
)  # fmt: skip


def write_skeleton(file: Path, given: Mapping[str, str | None], today: str, ask: bool) -> tuple[str, ...]:
    """Write the file and say what to do next. ``click.UsageError`` where it exists or an answer cannot be read."""
    if file.exists():
        raise click.UsageError(f"{visible(str(file))} already exists. logbook start never overwrites.")
    answers = {question.kind: _answer(question, given.get(question.option), ask) for question in QUESTIONS}
    day = given.get("day") or today
    if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", day):
        raise click.UsageError("The day is written as 2026-05-04.")
    text = skeleton(answers, day)
    errors = [problem for problem in problems_of(text) if problem.weight is Weight.ERROR]
    if errors:
        shown = [line for problem in errors for line in problem_lines(file.name, text, problem)]
        raise click.UsageError("These lines would not be understood:\n" + "\n".join(shown))
    write_in_place(file, [text.encode()])
    name = visible(str(file))
    return (
        f"Written: {name}. Open it in any editor and add what you see, an entry a line.",
        f"  logbook check {name}    is every line understood?",
        f"  logbook next {name}     what to test next",
    )


def skeleton(answers: Mapping[str, str], day: str) -> str:
    """The text of a new log: the card, and the first day."""
    card = [f"{kind}: {' '.join(text.split())}" for kind, text in answers.items() if text.strip()]
    return "\n".join(["language: 1", *card, "", f"{day}", ""])


def problems_of(text: str) -> tuple[Problem, ...]:
    return ledger.build(reader.read("new.txt", text.encode())).problems


def _answer(question: Question, given: str | None, ask: bool) -> str:
    if given is not None or not ask:
        return given or ""
    check = _checked(question)
    prompt = f"{question.asked} (for example: {question.example}; empty: leave it out)"
    while True:
        said: str = click.prompt(prompt, default="", show_default=False)
        fault = check(said) if said.strip() else ""
        if not fault:
            return said
        click.echo(fault)


def _checked(question: Question) -> Callable[[str], str]:
    """A judge of one answer: what is wrong with it as a line of a log, or ""."""

    def check(said: str) -> str:
        line = f"{question.kind}: {' '.join(said.split())}\n"
        errors = [p for p in problems_of(line) if p.weight is Weight.ERROR]
        return f"  {visible(errors[0].message)} {visible(errors[0].mend)}" if errors else ""

    return check
