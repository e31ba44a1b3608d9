"""What it was, in words: the cause that the writer named, its place and what was found there."""

from __future__ import annotations

from logbook.job.model import FoundCause, Job
from logbook.pages.places import is_hidden
from logbook.pages.words import listed


def cause_words(job: Job, cause: FoundCause) -> str:
    """'the coil found in 4 (boot split)', 'feed of the injectors at 1, 3 and 5', or the writer's own words."""
    remark = f" ({cause.remark})" if cause.remark else ""
    if cause.part:
        return f"{job.part(cause.part).called()}{remark}"
    places = [str(p.cylinder) for p in cause.places]
    where = f" at {listed(places)}" if places else ""
    kind = cause.part_kind
    what = cause.what
    if kind and kind != what:
        what = f"{what} of the {kind}{'s' if len(places) > 1 else ''}"
    if not what:
        return cause.text or f"something{where}{remark}"
    return f"{what}{where}{remark}"


def causes_words(job: Job) -> tuple[str, ...]:
    """Every cause that the copy shows, in the order of the log, each once."""
    return tuple(dict.fromkeys(cause_words(job, c) for c in _shown(job)))


def causes_in_sentence(job: Job) -> tuple[str, ...]:
    """The same behind 'the cause was': 'the valve at 3', 'injector A2', and the log's own words in quotes."""
    return tuple(dict.fromkeys(_in_sentence(job, c) for c in _shown(job)))


def _in_sentence(job: Job, cause: FoundCause) -> str:
    words = cause_words(job, cause)
    if cause.part:
        return words
    return f"the {words}" if cause.what else f"'{words}'"


def _shown(job: Job) -> list[FoundCause]:
    return [cause for cause in job.causes if not is_hidden(job, cause.entry)]
