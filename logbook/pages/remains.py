"""What remains: causes by rank, each with the entries for and against it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from logbook.diagnosis.answers import Cause, CylinderAnswer, Diagnosis, EntryWeight, SharedAnswer
from logbook.job.model import Job
from logbook.pages.evidence import Evidence, evidence, letter
from logbook.pages.frame import Link, ShownFigure
from logbook.pages.places import KEPT_PRIVATE, entry_link, is_hidden
from logbook.pages.words import capital, counted, in_hundred, listed, spelled, times_words, when_words

MOST_CAUSES = 6
MOST_REASONS = 4  # for, and against
_SHOWN_FROM = 0.005  # under it a cause stands in the last line only
_READ = re.compile(r" \([^()]*\d[^()]*\)")  # what an entry read: the table below has it
_RULER = (6.0, 294.0)  # ends of the drawn ruler


@dataclass(frozen=True, slots=True)
class Reason:
    words: str
    weight: str
    link: Link | None


@dataclass(frozen=True, slots=True)
class Candidate:
    """One cause in its rank. ``mark`` is the place on the drawn ruler."""

    letter: str
    name: str
    chance: str
    mark: float
    scale: bool  # figures under the ruler: on the first only
    sentence: str = ""
    for_: tuple[Reason, ...] = ()
    against: tuple[Reason, ...] = ()
    mend: str = ""


@dataclass(frozen=True, slots=True)
class CylinderRemains:
    id: str
    heading: str
    causes: tuple[Candidate, ...]
    others: str  # 'Four further causes stand under 1 in 100 each.'
    evidence: Evidence | None
    figures: tuple[ShownFigure, ...]
    nothing: str = ""  # said where nothing can be said


@dataclass(frozen=True, slots=True)
class Shared:
    heading: str
    causes: tuple[Candidate, ...]


@dataclass(frozen=True, slots=True)
class LookAgain:
    link: Link
    sentence: str
    chance: str


@dataclass(frozen=True, slots=True)
class Remains:
    shared: tuple[Shared, ...]
    cylinders: tuple[CylinderRemains, ...]
    again: tuple[LookAgain, ...]
    asides: tuple[str, ...]


def remains(job: Job, diagnosis: Diagnosis, figures: Mapping[str, tuple[ShownFigure, ...]]) -> Remains | None:
    """The section; None where no cylinder is in trouble and no shared cause is named. ``figures`` by cylinder's id."""
    if not diagnosis.cylinders and not diagnosis.shared:
        return None
    alike = told_alike(diagnosis.cylinders)
    cylinders = tuple(_cylinder(job, answers, figures) for answers in alike)
    shared = () if any(len(answers) > 1 for answers in alike) else _shared(job, diagnosis.shared)
    return Remains(shared, cylinders, _again(job, diagnosis), _asides(job, diagnosis))


def told_alike(answers: Iterable[CylinderAnswer]) -> list[list[CylinderAnswer]]:
    """Cylinders of which the page would say the same, together; else each alone."""
    groups: dict[tuple[object, ...], list[CylinderAnswer]] = {}
    for answer in answers:
        causes = tuple((c.label, in_hundred(c.probability)) for c in _shown(answer))
        state = (answer.place.engine, answer.state, answer.complaint, answer.intermittent)
        groups.setdefault((*state, causes or answer.place), []).append(answer)
    return list(groups.values())


def _shown(answer: CylinderAnswer) -> list[Cause]:
    return [c for c in answer.causes if c.probability >= _SHOWN_FROM][:MOST_CAUSES] or list(answer.causes[:1])


def cylinder_id(answer: CylinderAnswer) -> str:
    """'remains-2'; with a second engine 'remains-e2-2'."""
    engine = f"{answer.place.engine.lower()}-" if answer.place.engine else ""
    return f"remains-{engine}{answer.place.cylinder}"


def _cylinder(
    job: Job, answers: list[CylinderAnswer], figures: Mapping[str, tuple[ShownFigure, ...]]
) -> CylinderRemains:
    """One cylinder, or several of which the same is said; their weights are those of the first."""
    answer = answers[0]
    shown = _shown(answer)
    candidates = [_candidate(job, n, c) for n, c in enumerate(shown)]
    for share, name in ((answer.several, "More than one of these at once"), (answer.none, "Something not listed")):
        if share >= _SHOWN_FROM:
            candidates.append(_bare(len(candidates), name, share))
    more = len(answer.causes) - len(shown)
    stand = "cause stands" if more == 1 else "causes stand"
    name = cylinder_id(answer)
    return CylinderRemains(
        name,
        _heading(answers),
        tuple(candidates) if answer.causes else (),
        f"{capital(spelled(more))} further {stand} under 1 in 100." if more > 0 else "",
        evidence(job, answer),
        figures.get(name, ()),
        "" if answer.causes else f"Nothing can be said yet: no entry speaks about {answer.place.cylinder}.",
    )


def _heading(answers: list[CylinderAnswer]) -> str:
    answer = answers[0]
    numbers = listed(str(a.place.cylinder) for a in answers)
    engine = f" of {answer.place.engine}" if answer.place.engine else ""
    many = len(answers) > 1
    head = f"{'Cylinders' if many else 'Cylinder'} {numbers}{engine}, "
    complaint, state = answer.complaint, answer.state
    when = f" {when_words(answer.intermittent)}" if answer.intermittent else ""
    if complaint in ("dead", "weak") and state == "fires":
        return f"{head}{'were' if many else 'was'} {complaint}{when}, {'fire' if many else 'fires'} now"
    return f"{head}{complaint if complaint != 'not known' else state}{when}"


def _candidate(job: Job, rank: int, cause: Cause) -> Candidate:
    return Candidate(
        letter(rank),
        capital(cause.label),
        in_hundred(cause.probability),
        _mark(cause.probability),
        rank == 0,
        _READ.sub("", cause.sentence),
        _reasons(job, cause.for_[:MOST_REASONS]),
        _reasons(job, cause.against[:MOST_REASONS]),
        cause.mend,
    )


def _bare(rank: int, name: str, share: float) -> Candidate:
    return Candidate(letter(rank), name, in_hundred(share), _mark(share), rank == 0)


def _mark(probability: float) -> float:
    low, high = _RULER
    return round(low + (high - low) * probability, 1)


def _reasons(job: Job, weights: tuple[EntryWeight, ...]) -> tuple[Reason, ...]:
    """Entries named shortly, what they read stands in the table below: 'the coil swap of 4 May'."""
    reasons = []
    for weight in weights:
        factor = times_words(weight.decibans)
        if factor and is_hidden(job, weight.entry):
            reasons.append(Reason(KEPT_PRIVATE, factor, None))
        elif factor:
            head, _, rest = weight.words.partition(": ")
            short = f"{head}: {rest}" if head == "the clue" else head
            reasons.append(Reason(short, factor, entry_link(job, weight.entry)))
    return tuple(reasons)


def _shared(job: Job, answers: tuple[SharedAnswer, ...]) -> tuple[Shared, ...]:
    """One list for each set of cylinders that one cause may explain together."""
    groups: dict[tuple[str, tuple[int, ...]], list[SharedAnswer]] = {}
    for answer in answers:
        groups.setdefault((answer.engine, answer.cylinders), []).append(answer)
    return tuple(
        Shared(
            f"Cylinders {listed(str(c) for c in cylinders)} together"
            if len(cylinders) > 1
            else f"What cylinder {cylinders[0]} shares with others",
            tuple(_together(job, n, a) for n, a in enumerate(found)),
        )
        for (_, cylinders), found in groups.items()
    )


def _together(job: Job, rank: int, answer: SharedAnswer) -> Candidate:
    raised = sorted((w for w in answer.weights if w.decibans > 0), key=lambda w: (-w.decibans, w.entry))
    lowered = sorted((w for w in answer.weights if w.decibans < 0), key=lambda w: (w.decibans, w.entry))
    return Candidate(
        letter(rank),
        capital(answer.label),
        in_hundred(answer.probability),
        _mark(answer.probability),
        rank == 0,
        answer.sentence,
        _reasons(job, tuple(raised[:MOST_REASONS])),
        _reasons(job, tuple(lowered[:MOST_REASONS])),
    )


def _again(job: Job, diagnosis: Diagnosis) -> tuple[LookAgain, ...]:
    return tuple(
        LookAgain(entry_link(job, c.entry), c.sentence, in_hundred(c.probability))
        for c in diagnosis.check_again
        if not is_hidden(job, c.entry)
    )


def _asides(job: Job, diagnosis: Diagnosis) -> tuple[str, ...]:
    said = ["The mark on each ruler is the chance in 100, from all entries together."]
    if diagnosis.approximate:
        said.append(diagnosis.approximate)
    if diagnosis.learned_from:
        where = f" in {diagnosis.learned_folder}" if diagnosis.learned_folder and job.copy == "shop" else ""
        closed = counted(diagnosis.learned_from, "job", "jobs")
        said.append(f"The starting guesses rest on the trade’s own and on {closed} proved before this one{where}.")
    return tuple(said)
