"""Why: each cause with what speaks for it and against it, what ruled out the rest, and entries to check again."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from logbook.diagnosis.answers import Cause, CheckAgain, CylinderAnswer, Diagnosis, EntryWeight, SharedAnswer
from logbook.job.model import Job, Place
from logbook.pages.causes import cause_label
from logbook.pages.evidence import LIGHT, entry_words, is_cleared, reason
from logbook.pages.frame import Cell, Column, Link, Sheet, ShownFigure, Table
from logbook.pages.phrases import Voice, voice_of
from logbook.pages.places import entry_link, is_hidden
from logbook.pages.words import capital, counted, listed, percent, sentence, when_words

MOST_CAUSES = 4
MOST_REASONS = 3
MOST_RULED_OUT = 4  # by one entry, named on the page; the data has all
MOST_MORE = 3
_SHOWN_FROM = 0.005  # what rounds to 'under 1%' is counted


@dataclass(frozen=True, slots=True)
class ShownCause:
    name: str
    chance: str
    width: float  # of its bar, in hundredths
    for_: tuple[str, ...] = ()  # with how strongly each speaks
    against: tuple[str, ...] = ()
    fix: str = ""
    briefly: tuple[str, ...] = ()  # the strongest for it, and the strongest against it


@dataclass(frozen=True, slots=True)
class WhyCylinder:
    id: str
    heading: str
    causes: tuple[ShownCause, ...]
    more: tuple[str, ...]
    ruled_out: Table | None
    figures: tuple[ShownFigure, ...]


@dataclass(frozen=True, slots=True)
class Again:
    link: Link
    sentence: str
    chance: str


@dataclass(frozen=True, slots=True)
class WhyPage:
    sheet: Sheet
    shared: tuple[tuple[str, tuple[ShownCause, ...]], ...]
    cylinders: tuple[WhyCylinder, ...]
    again: tuple[Again, ...]
    asides: tuple[str, ...]
    words: str


def why_page(
    job: Job, diagnosis: Diagnosis, sheet: Sheet, figures: Mapping[str, tuple[ShownFigure, ...]]
) -> WhyPage | None:
    """None where no cylinder is in trouble and no shared cause is named. ``figures`` by ``cylinder_id``."""
    if not diagnosis.cylinders and not diagnosis.shared:
        return None
    voice = voice_of(job.units)
    alike = told_alike(diagnosis.cylinders)
    cylinders = tuple(_cylinder(voice, job, answers, figures) for answers in alike)
    shared = () if any(len(answers) > 1 for answers in alike) else _shared(voice, job, diagnosis.shared)
    again = tuple(
        Again(
            entry_link(job, c.entry), voice.retell(c.sentence), voice.say("why.misread", chance=percent(c.probability))
        )
        for c in diagnosis.check_again
        if not is_hidden(job, c.entry)
    )
    return WhyPage(sheet, shared, cylinders, again, _asides(voice, diagnosis), voice.say("why.words"))


def _again(voice: Voice, job: Job, check: CheckAgain) -> Again:
    chance = voice.say("why.misread", chance=percent(check.probability))
    return Again(entry_link(job, check.entry), voice.retell(check.sentence), chance)


def told_alike(answers: Iterable[CylinderAnswer]) -> list[list[CylinderAnswer]]:
    """Cylinders of which the page would say the same, or that the same wide causes explain best, together."""
    groups: dict[tuple[object, ...], list[CylinderAnswer]] = {}
    for answer in answers:
        causes = tuple((c.label, percent(c.probability)) for c in shown_causes(answer))
        wide = tuple((c.label, percent(c.probability)) for c in shown_causes(answer) if len(c.cylinders) > 1)
        if wide and len(answer.causes[0].cylinders) > 1:
            causes = wide[:1] if answer.settled else wide
        state = (answer.place.engine, answer.state, answer.complaint, answer.intermittent)
        groups.setdefault((*state, causes or answer.place), []).append(answer)
    return list(groups.values())


def common_to(answers: Sequence[CylinderAnswer], causes: Iterable[Cause]) -> list[Cause]:
    """Of the causes of the first of some cylinders, those that are said of all of them."""
    said = [{c.label for c in (*a.causes, *a.ruled_out)} for a in answers]
    return [c for c in causes if all(c.label in labels for labels in said)]


def shown_causes(answer: CylinderAnswer) -> list[Cause]:
    return [c for c in answer.causes if c.probability >= _SHOWN_FROM][:MOST_CAUSES] or list(answer.causes[:1])


def cylinder_id(answer: CylinderAnswer) -> str:
    """'cylinder-2'; with a second engine 'cylinder-e2-2'."""
    engine = f"{answer.place.engine.lower()}-" if answer.place.engine else ""
    return f"cylinder-{engine}{answer.place.cylinder}"


def who_words(voice: Voice, answers: Sequence[CylinderAnswer]) -> str:
    numbers = listed(str(a.place.cylinder) for a in answers)
    who = voice.say("why.cylinders_many" if len(answers) > 1 else "why.cylinders", numbers=numbers)
    engine = answers[0].place.engine
    return f"{who} of {engine}" if engine else who


def _cylinder(
    voice: Voice, job: Job, answers: Sequence[CylinderAnswer], figures: Mapping[str, tuple[ShownFigure, ...]]
) -> WhyCylinder:
    answer = answers[0]
    shown = common_to(answers, shown_causes(answer))
    return WhyCylinder(
        cylinder_id(answer),
        _heading(voice, answers),
        tuple(shown_cause(voice, job, c, answer.place) for c in shown),
        tuple(_more(voice, job, answers, shown)),
        _ruled_out(voice, job, answers),
        figures.get(cylinder_id(answer), ()),
    )


def _heading(voice: Voice, answers: Sequence[CylinderAnswer]) -> str:
    answer, who = answers[0], who_words(voice, answers)
    when = f" {when_words(answer.intermittent)}" if answer.intermittent else ""
    if answer.complaint in ("dead", "weak") and answer.state == "fires":
        return voice.say("why.was", who=who, was=f"{answer.complaint}{when}")
    now = answer.complaint if answer.complaint != "not known" else answer.state
    return voice.say("why.is", who=who, now=f"{now}{when}")


def shown_cause(voice: Voice, job: Job, cause: Cause, at: Place) -> ShownCause:
    """One cause of the trouble at a cylinder, with the entries that moved it most."""
    fix = voice.say("why.fix", how=cause.mend[:1].lower() + cause.mend[1:]) if cause.mend else ""
    return ShownCause(
        capital(cause_label(voice, job, cause)),
        percent(cause.probability),
        round(100 * cause.probability, 1),
        _reasons(voice, job, cause.for_, at, cause.part),
        _reasons(voice, job, cause.against, at, cause.part),
        fix,
        tuple(_briefly(voice, job, cause, at)),
    )


def _briefly(voice: Voice, job: Job, cause: Cause, at: Place) -> Iterable[str]:
    for name, weights in (("job.for", cause.for_), ("job.against", cause.against)):
        if weights and abs(weights[0].decibans) >= LIGHT:
            yield voice.say(name, words=entry_words(voice, job, weights[0], at, cause.part))


def _reasons(
    voice: Voice, job: Job, weights: Iterable[EntryWeight], at: Place | None = None, part: str = ""
) -> tuple[str, ...]:
    found = (reason(voice, job, w, at, part) for w in weights if abs(w.decibans) >= LIGHT)
    return tuple(dict.fromkeys(sentence(capital(words)) for words in found))[:MOST_REASONS]


def _more(voice: Voice, job: Job, answers: Sequence[CylinderAnswer], shown: Sequence[Cause]) -> Iterable[str]:
    answer = answers[0]
    rest = [c for c in common_to(answers, answer.causes) if c not in shown and c.probability >= _SHOWN_FROM][:MOST_MORE]
    if rest:
        named = listed(f"{cause_label(voice, job, c)}, {percent(c.probability)}" for c in rest)
        yield voice.say("why.more", causes=named)
    if answer.several >= _SHOWN_FROM:
        yield voice.say("why.two", chance=percent(answer.several))
    if answer.none >= _SHOWN_FROM:
        yield voice.say("why.unknown", chance=percent(answer.none))


def _ruled_out(voice: Voice, job: Job, answers: Sequence[CylinderAnswer]) -> Table | None:
    """What no longer is in question, by the entry that spoke against it the most."""
    rows: dict[str, list[str]] = {}
    links: dict[str, Link] = {}
    answer = answers[0]
    cleared = [c for c in common_to(answers, answer.ruled_out) if is_cleared(c)]
    for cause in sorted(cleared, key=lambda c: (c.against[0].entry, len(c.cylinders))):  # the nearest first
        by = cause.against[0]
        words = sentence(capital(entry_words(voice, job, by, answer.place)))
        rows.setdefault(words, []).append(cause_label(voice, job, cause))
        if by.entry >= 0 and not is_hidden(job, by.entry):
            links.setdefault(words, entry_link(job, by.entry))
    if not rows:
        return None
    cells = tuple(
        (Cell(capital(_listed_at_most(voice, list(dict.fromkeys(names))))), Cell(words, link=links.get(words)))
        for words, names in rows.items()
    )
    return Table("Ruled out", (Column("What"), Column("Ruled out by")), cells)


def _listed_at_most(voice: Voice, names: Sequence[str]) -> str:
    """The first of a long list, and how many more there are: one look at a cylinder clears all that stops an engine."""
    more = len(names) - MOST_RULED_OUT
    if more <= 1:
        return listed(names)
    return listed([*names[:MOST_RULED_OUT], voice.say("why.others", count=more)])


def _shared(voice: Voice, job: Job, answers: Sequence[SharedAnswer]) -> tuple[tuple[str, tuple[ShownCause, ...]], ...]:
    """One list for each set of cylinders that one cause may explain together."""
    groups: dict[tuple[int, ...], list[SharedAnswer]] = {}
    for answer in answers:
        groups.setdefault(answer.cylinders, []).append(answer)
    return tuple(
        (
            voice.say("why.together", numbers=listed(str(c) for c in cylinders)),
            tuple(_together(voice, job, a) for a in found[:MOST_CAUSES]),
        )
        for cylinders, found in groups.items()
    )


def _together(voice: Voice, job: Job, answer: SharedAnswer) -> ShownCause:
    raised = sorted((w for w in answer.weights if w.decibans > 0), key=lambda w: (-w.decibans, w.entry))
    lowered = sorted((w for w in answer.weights if w.decibans < 0), key=lambda w: (w.decibans, w.entry))
    return ShownCause(
        capital(answer.label),
        percent(answer.probability),
        round(100 * answer.probability, 1),
        _reasons(voice, job, raised),
        _reasons(voice, job, lowered),
    )


def _asides(voice: Voice, diagnosis: Diagnosis) -> tuple[str, ...]:
    said = [diagnosis.approximate] if diagnosis.approximate else []
    jobs = counted(diagnosis.learned_from, "job")
    said.append(voice.say("why.learned", jobs=jobs) if diagnosis.learned_from else voice.say("why.usual"))
    return tuple(said)
