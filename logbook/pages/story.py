"""'Where it stands' in plain sentences, from what this copy shows: trouble, cause, what was done, what comes next."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from logbook.diagnosis.answers import SEVERAL, Cause, CylinderAnswer, Diagnosis, SharedAnswer
from logbook.diagnosis.explain import chance_words
from logbook.diagnosis.subjects import part_at
from logbook.job.model import Job
from logbook.pages.account import done_words, proof_words
from logbook.pages.causes import causes_in_sentence
from logbook.pages.phrases import voice_of
from logbook.pages.places import is_hidden
from logbook.pages.repair import last_repair, repairs
from logbook.pages.ruled_out import is_cleared
from logbook.pages.words import (
    duration_words,
    in_hundred,
    listed,
    sentence,
    short_date,
    when_words,
)

_TROUBLE = ("dead", "weak")
_SHARED_FROM = 0.5  # a shared cause that is likelier than not is told first
_UNKNOWN_FROM = 0.3  # that it is nothing listed is told from here on
_EVEN = 0.5
_NAMED_FROM = 0.1  # a second cause below this is not named in the paragraph
_MOST_CLEARED = 4


def story(job: Job, diagnosis: Diagnosis) -> tuple[str, ...]:
    """The lead paragraph and those after it; never empty. ``job`` already is the shop's or the public copy."""
    lead = " ".join([*_trouble(diagnosis), *_cause(job, diagnosis)])
    known = " ".join([*_known(job, diagnosis), *_in_vain(job, diagnosis)])
    done = " ".join(filter(None, _done(job, diagnosis)))
    more = [*_earlier(job), done, known, _next(diagnosis), _handed(job, diagnosis)]
    found = [p for p in (lead, *more) if p]
    return tuple(found) or (no_test_yet(job),)


def no_test_yet(job: Job) -> str:
    """Where nothing was tested: how to begin, or that a donor's parts are all there is."""
    if is_stock(job):
        return "Parts of a donor, for other jobs; no engine of its own to test."
    return "No test yet. Look for spark and for fuel, about 5 minutes each."


def nothing_to_test(job: Job, diagnosis: Diagnosis) -> str:
    """Why no test is proposed, and what to write so that one is."""
    if is_stock(job):
        return no_test_yet(job)
    if any(state != "not known" for _, state in diagnosis.states):
        return "Nothing is left to test: no cylinder is known to be in trouble."
    return (
        "Nothing is left to test, or no cylinder is in trouble yet. Write what each one does, such as "
        "'firing: 3 dead, rest fires', and the next test follows from it."
    )


def is_stock(job: Job) -> bool:
    """Whether a log is about a donor's parts alone: no engine of its own, and nothing that is wrong."""
    return bool(job.donors or job.parts) and not job.engines and not any(kind == "symptom" for kind, _ in job.card)


def one_line(job: Job, diagnosis: Diagnosis) -> str:
    """The job in one sentence, for lists and previews."""
    return " ".join([*_trouble(diagnosis), *_cause(job, diagnosis)])


def _asked(diagnosis: Diagnosis) -> list[CylinderAnswer]:
    """The cylinders that were in trouble, or are."""
    return [a for a in diagnosis.cylinders if a.complaint in _TROUBLE or a.state in _TROUBLE or a.intermittent]


def _trouble(diagnosis: Diagnosis) -> Iterable[str]:
    """'Cylinders 1, 3 and 5 were dead and fire again.' One sentence for those of which the same is to be said."""
    alike: dict[tuple[str, str, str], list[str]] = {}
    for answer in _asked(diagnosis):
        was: str = answer.complaint if answer.complaint in _TROUBLE else answer.state
        alike.setdefault((was, answer.state, answer.intermittent), []).append(str(answer.place.cylinder))
    for (was, now, when), numbers in alike.items():
        yield _trouble_sentence(was, now, when, numbers, diagnosis.standing in ("proved", "handed over"))
    if not alike and diagnosis.states and all(state == "fires" for _, state in diagnosis.states):
        yield "All cylinders fire."


def _trouble_sentence(was: str, now: str, when: str, numbers: Sequence[str], proved: bool) -> str:
    many = len(numbers) > 1
    who = f"Cylinder{'s' if many else ''} {listed(numbers)}"
    is_, was_, fires = ("are", "were", "fire") if many else ("is", "was", "fires")
    how = f"{was} {when_words(when)}" if when else was
    if now == "fires":
        return f"{who} {was_} {how} and {fires} again."
    if now == was:
        return f"{who} {is_} {how}."
    if now in _TROUBLE:
        return f"{who} {was_} {was} and {is_} {now} now."
    if proved:
        return f"{who} {was_} {how}."
    return f"{who} {was_} {how}; how it runs now has not been seen."


def _cause(job: Job, diagnosis: Diagnosis) -> Iterable[str]:
    written = causes_in_sentence(job)
    if written:
        yield f"The cause{'s were' if len(written) > 1 else ' was'} {listed(written)}."
        return
    strong = [s for s in diagnosis.shared if s.probability >= _SHARED_FROM and len(s.cylinders) > 1]
    covered = {c for s in strong for c in s.cylinders}
    for shared in strong:
        yield _shared_sentence(shared)
    said: dict[str, list[str]] = {}
    for answer in _asked(diagnosis):
        if answer.place.cylinder not in covered:
            for told in _one_cause(job, answer):
                said.setdefault(told, []).append(str(answer.place.cylinder))
    many = len([a for a in _asked(diagnosis) if a.place.cylinder not in covered]) > 1
    for told, numbers in said.items():
        yield f"At {listed(numbers)}, {told[:1].lower()}{told[1:]}" if many and not strong else told


def _shared_sentence(shared: SharedAnswer) -> str:
    return f"{shared.sentence.rstrip('.')} ({in_hundred(shared.probability)})."


def _one_cause(job: Job, answer: CylinderAnswer) -> Iterable[str]:
    if not answer.causes:
        return
    first = answer.causes[0]
    if answer.state in _TROUBLE and first.probability >= _EVEN and _is_out(job, answer, first):
        yield _another_now(job, answer)
        return
    if answer.none >= _UNKNOWN_FROM and answer.none > first.probability:
        yield f"Nothing that the tables know explains it well ({in_hundred(answer.none)})."
        return
    second = answer.causes[1] if len(answer.causes) > 1 and answer.several >= SEVERAL else None
    if answer.settled:
        yield f"The cause is settled: {first.label}, {in_hundred(first.probability)}."
        if second:
            yield f"A second fault beside it is {_how_likely(answer)}: {second.label} first of all."
    elif second and answer.several >= _EVEN:
        yield f"More than one fault at once is {_how_likely(answer)}: {first.label} and {second.label} lead."
    else:
        then = [c for c in answer.causes[1:2] if c.probability >= _NAMED_FROM]
        yield f"The likeliest cause so far is {_with_chance(first)}{', then ' + _with_chance(then[0]) if then else ''}."
        if second:
            yield f"More than one fault at once is {_how_likely(answer)}."


def _is_out(job: Job, answer: CylinderAnswer, cause: Cause) -> bool:
    """Whether a part that may be the cause serves the cylinder no more."""
    engine = job.engine(answer.place.engine)
    if not cause.part or engine is None:
        return False
    return part_at(engine, cause.part.partition("/")[0], answer.place.cylinder, job.mounted()) != cause.part


def _another_now(job: Job, answer: CylinderAnswer) -> str:
    """For a cylinder that is still in trouble though the likeliest part is out of it."""
    first = answer.causes[0]
    left = next((c for c in answer.causes if c.probability >= _NAMED_FROM and not _is_out(job, answer, c)), None)
    now = f", likeliest {_with_chance(left)}" if left else ""
    began = f"It most likely began with {first.label} ({in_hundred(first.probability)})"
    return f"{began}; that part is out and it is {answer.state} still: there is another fault{now}."


def _how_likely(answer: CylinderAnswer) -> str:
    """'as likely as not (58 in 100)' of several faults at once."""
    return f"{chance_words(answer.several)} ({in_hundred(answer.several)})"


def _with_chance(cause: Cause) -> str:
    return f"{cause.label} at {in_hundred(cause.probability)}"


def _earlier(job: Job) -> Iterable[str]:
    """Repairs before it came back, each told for its own time."""
    voice = voice_of(job.units)
    for repair in repairs(job):
        if repair.came_back >= 0 and not is_hidden(job, repair.came_back):
            entry = job.entries[repair.came_back].entry
            saying = "came_back_saying" if entry.text else "came_back"
            again = sentence(voice.say(f"proof.{saying}", day=voice.day(entry.day), words=entry.text))
            yield " ".join(filter(None, (done_words(job, repair), proof_words(job, repair), again)))


def _done(job: Job, diagnosis: Diagnosis) -> Iterable[str]:
    """What was done about it, and what proves that it helped."""
    repair = last_repair(job)
    if repair is None or diagnosis.standing not in ("repaired", "proved", "handed over"):
        return
    yield done_words(job, repair)
    proved = proof_words(job, repair)
    if proved:
        yield proved
    elif diagnosis.standing == "repaired":
        yield sentence(voice_of(job.units).say("proof.not_yet"))


def _known(job: Job, diagnosis: Diagnosis) -> Iterable[str]:
    """For a case that is still open: what is out of the question, and of which cylinders nothing is known."""
    if diagnosis.standing not in ("looking", "found"):
        return
    out = [c for a in _asked(diagnosis) for c in a.ruled_out if is_cleared(c)]
    named = [job.part(c.part).called() if c.part else c.label for c in sorted(out, key=_reach)]
    cleared = list(dict.fromkeys(named))
    if cleared:
        told = [*cleared[:_MOST_CLEARED], *(["more"] if len(cleared) > _MOST_CLEARED else [])]
        yield f"Ruled out: {listed(told)}."
    unknown = [str(p.cylinder) for p, state in diagnosis.states if state == "not known"]
    if unknown and len(unknown) < len(diagnosis.states):
        yield f"Nothing is known yet of {listed(unknown)}."


def _in_vain(job: Job, diagnosis: Diagnosis) -> Iterable[str]:
    """For a case that is still open: numbers that nothing stands beside, and what would make them count."""
    if diagnosis.standing not in ("looking", "found"):
        return
    measured = {r.entry for r in job.readings if r.counts and r.value.quantity is not None}
    entries = [job.entries[e].entry for e in diagnosis.unread if e in measured and not is_hidden(job, e)]
    if entries:
        named = listed(dict.fromkeys(f"the {e.kind}{f' of {short_date(e.day)}' if e.day else ''}" for e in entries))
        yield (
            f"Not used, for there is nothing to compare it with: {named}. "
            "Write the maker's figure behind it ('spec ...'), or the same of other cylinders."
        )


def _reach(cause: Cause) -> int:
    """Parts first, then what stays with the cylinder, then what several share."""
    return 0 if cause.part else 1 if cause.scope == "place" else 2


def _next(diagnosis: Diagnosis) -> str:
    step = next((s for s in diagnosis.next if not s.blocked), None)
    if step is None or diagnosis.standing in ("proved", "handed over"):
        return ""
    return f"Next: {step.title[:1].lower()}{step.title[1:]}, {duration_words(step.minutes).lower()}."


def _handed(job: Job, diagnosis: Diagnosis) -> str:
    """Not where it came back since."""
    voice = voice_of(job.units)
    if job.handed_over is None or diagnosis.standing != "handed over":
        return ""
    return sentence(voice.say("proof.handed_back", day=voice.date(job.handed_over)))
