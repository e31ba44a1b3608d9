"""The skeleton of a new log, from a builder's answers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class Answers:
    """What the builder said; empty answers are left out of the skeleton."""

    job: str
    units: str = ""  # us or metric
    vehicle: str = ""
    engine: str = ""  # 'V6, left 1 3 5, right 2 4 6, coil on plug'
    fires: str = ""  # '1 2 3 4 5 6'
    symptom: str = ""
    owner: str = ""
    day: date | None = None


@dataclass(frozen=True, slots=True)
class Question:
    """One question: the field of ``Answers`` that it fills, its words, and an answer as an example."""

    field: str
    words: str
    example: str


QUESTIONS: tuple[Question, ...] = (
    Question("job", "What shall the job be called?", "Parcel van, shakes at the lights"),
    Question("vehicle", "What does the engine stand in?", "parcel van"),
    Question("units", "Which units do you write in, us or metric?", "metric"),
    Question("engine", "Which engine? Layout, banks, coils.", "V6, left 1 3 5, right 2 4 6, coil on plug"),
    Question("fires", "In which order does it fire? Empty if you do not know.", "1 2 3 4 5 6"),
    Question("symptom", "What is the complaint?", "shakes at idle since the rain"),
    Question("owner", "Whose is it? This stays out of public copies.", "K. Example"),
)


def skeleton(answers: Answers) -> str:
    """The text of a new log: the card, the first day, and a note on how it goes on."""
    engine = _one_line(answers.engine)
    if engine and answers.fires.strip() and "fires" not in engine.casefold():
        engine = f"{engine}, fires {' '.join(answers.fires.replace(',', ' ').replace('-', ' ').split())}"
    card = (
        ("language", "1"),
        ("job", answers.job),
        ("vehicle", answers.vehicle),
        ("units", answers.units),
        ("engine", engine),
        ("symptom", answers.symptom),
        ("owner", answers.owner),
    )
    lines = [f"{kind}: {_one_line(told)}" for kind, told in card if told.strip()]
    if answers.day is not None:
        lines.extend(["", answers.day.isoformat()])
    return "\n".join(lines) + "\n"


def _one_line(told: str) -> str:
    return " ".join(told.split())
