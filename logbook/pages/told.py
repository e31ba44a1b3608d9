"""The words of a diagnosis as one copy may tell them: nothing of an entry kept private but its weight."""

from __future__ import annotations

from dataclasses import replace

from logbook.diagnosis.answers import Cause, CylinderAnswer, Diagnosis, EntryWeight
from logbook.diagnosis.explain import cause_sentence, ruled_out_sentence
from logbook.diagnosis.where_it_stands import RULES
from logbook.job.model import Job
from logbook.pages.places import KEPT_PRIVATE, is_hidden
from logbook.pages.story import one_line, story

_RULES = dict(RULES)


def told(diagnosis: Diagnosis, job: Job) -> Diagnosis:
    """The same numbers, every sentence made from what ``job`` shows, which already is the shop's or public copy."""
    if job.copy == "public":
        diagnosis = replace(
            diagnosis,
            cylinders=tuple(_cylinder(job, answer) for answer in diagnosis.cylinders),
            shared=tuple(replace(s, weights=_weights(job, s.weights)) for s in diagnosis.shared),
            check_again=tuple(c for c in diagnosis.check_again if not is_hidden(job, c.entry)),
            standing_why=_RULES[diagnosis.standing],
        )
    return replace(diagnosis, stand=story(job, diagnosis), one_line=one_line(job, diagnosis))


def _cylinder(job: Job, answer: CylinderAnswer) -> CylinderAnswer:
    return replace(
        answer,
        causes=tuple(replace(c, sentence=cause_sentence(job, c)) for c in (_cause(job, c) for c in answer.causes)),
        ruled_out=tuple(
            replace(c, sentence=ruled_out_sentence(job, c)) for c in (_cause(job, c) for c in answer.ruled_out)
        ),
        history=tuple(
            replace(p, label=KEPT_PRIVATE) if p.entry >= 0 and is_hidden(job, p.entry) else p for p in answer.history
        ),
    )


def _cause(job: Job, cause: Cause) -> Cause:
    return replace(cause, weights=_weights(job, cause.weights))


def _weights(job: Job, weights: tuple[EntryWeight, ...]) -> tuple[EntryWeight, ...]:
    return tuple(replace(w, words=KEPT_PRIVATE) if is_hidden(job, w.entry) else w for w in weights)
