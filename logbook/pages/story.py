"""A job in plain sentences, from what this copy shows: trouble, cause, what was done, what comes next."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from logbook.diagnosis.answers import SEVERAL, Cause, CylinderAnswer, Diagnosis
from logbook.job.model import Job
from logbook.pages.account import done_words, proof_words
from logbook.pages.causes import cause_label, causes_in_sentence
from logbook.pages.evidence import is_cleared
from logbook.pages.next_step import waits_for
from logbook.pages.phrases import Voice, voice_of
from logbook.pages.places import is_hidden
from logbook.pages.repair import last_repair, repairs
from logbook.pages.words import capital, listed, minutes_short, percent, sentence, spelled, when_words

_TROUBLE = ("dead", "weak")
_SHARED_FROM = 0.5  # a shared cause that is likelier than not is told first
_UNKNOWN_FROM = 0.3  # that it is nothing listed is told from here on
_EVEN = 0.5
_NAMED_FROM = 0.1  # a second cause below this is not named
MOST_CLEARED = 5


def story(job: Job, diagnosis: Diagnosis) -> tuple[str, ...]:
    """The lead paragraph and those after it; never empty. ``job`` already is the shop's or the public copy."""
    lead = one_line(job, diagnosis)
    known = " ".join(sentence(s) for s in (*_known(job, diagnosis), *_in_vain(job, diagnosis)))
    done = " ".join(filter(None, _done(job, diagnosis)))
    found = [p for p in (lead, *earlier_words(job), done, known, _next(job, diagnosis), _handed(job, diagnosis)) if p]
    return tuple(found) or (no_test_yet(job),)


def no_test_yet(job: Job) -> str:
    """Where nothing was tested: how to begin, or that a donor's parts are all there is."""
    return sentence(voice_of(job.units).say("trouble.parts" if is_stock(job) else "trouble.none"))


def nothing_to_test(job: Job, diagnosis: Diagnosis) -> str:
    """Why no test is proposed, and what to write so that one is."""
    if is_stock(job):
        return no_test_yet(job)
    known = any(state != "not known" for _, state in diagnosis.states)
    return sentence(voice_of(job.units).say("trouble.nothing_left" if known else "trouble.write_states"))


def is_stock(job: Job) -> bool:
    """Whether a log is about a donor's parts alone: no engine of its own, and nothing that is wrong."""
    return bool(job.donors or job.parts) and not job.engines and not any(kind == "symptom" for kind, _ in job.card)


def one_line(job: Job, diagnosis: Diagnosis) -> str:
    """Trouble and cause, for lists and previews."""
    return " ".join(sentence(s) for s in (*trouble_words(job, diagnosis), *_cause(job, diagnosis)))


def asked(diagnosis: Diagnosis) -> list[CylinderAnswer]:
    """The cylinders that were in trouble, or are."""
    return [a for a in diagnosis.cylinders if a.complaint in _TROUBLE or a.state in _TROUBLE or a.intermittent]


def trouble_words(job: Job, diagnosis: Diagnosis) -> Iterable[str]:
    """'Cylinders 1, 3 and 5 were dead. All three fire now.' One for those of which the same is to be said."""
    voice = voice_of(job.units)
    alike: dict[tuple[str, str, str], list[str]] = {}
    for answer in asked(diagnosis):
        was: str = answer.complaint if answer.complaint in _TROUBLE else answer.state
        alike.setdefault((was, answer.state, answer.intermittent), []).append(str(answer.place.cylinder))
    proved = diagnosis.standing in ("proved", "handed over")
    for (was, now, when), numbers in alike.items():
        yield _trouble(voice, was, now, when, numbers, proved)
    if not alike and diagnosis.states and all(state == "fires" for _, state in diagnosis.states):
        yield voice.say("trouble.everything")


def _trouble(voice: Voice, was: str, now: str, when: str, numbers: Sequence[str], proved: bool) -> str:
    many = len(numbers) > 1
    who = f"Cylinder{'s' if many else ''} {listed(numbers)}"
    how = f"{was} {when_words(when)}" if when else was
    words = {"who": who, "be": "are" if many else "is", "was": "were" if many else "was", "before": was, "state": how}
    if now == "fires":
        count = spelled(len(numbers))
        name = "trouble.all_fire" if len(numbers) > 2 else "trouble.both_fire" if many else "trouble.it_fires"
        return voice.say("trouble.fires_again", **words, it=voice.say(name, count=count))
    if now == was:
        return voice.say("trouble.now", **words)
    if now in _TROUBLE:
        return voice.say("trouble.changed", **{**words, "state": now})
    return voice.say("trouble.was" if proved else "trouble.not_seen", **words)


def _cause(job: Job, diagnosis: Diagnosis) -> Iterable[str]:
    voice = voice_of(job.units)
    written = causes_in_sentence(job)
    if written:
        yield voice.say("trouble.causes" if len(written) > 1 else "trouble.cause", cause=listed(written))
        return
    strong = [s for s in diagnosis.shared if s.probability >= _SHARED_FROM and len(s.cylinders) > 1]
    covered = {c for s in strong for c in s.cylinders}
    for shared in strong:
        yield f"{shared.sentence.rstrip('.')} ({percent(shared.probability)})"
    left = [a for a in asked(diagnosis) if a.place.cylinder not in covered]
    said: dict[tuple[str, ...], list[str]] = {}
    for answer in left:
        said.setdefault(tuple(_one_cause(voice, job, answer)), []).append(str(answer.place.cylinder))
    for told, numbers in said.items():
        if told and len(left) > len(numbers):
            yield f"{listed(numbers)}: {told[0][:1].lower()}{told[0][1:]}"
            yield from told[1:]
        else:
            yield from told


def _one_cause(voice: Voice, job: Job, answer: CylinderAnswer) -> Iterable[str]:
    if not answer.causes:
        return
    first = answer.causes[0]
    label, chance = capital(cause_label(voice, job, first)), percent(first.probability)
    if answer.state in _TROUBLE and first.probability >= _EVEN and _is_out(job, answer, first):
        yield from _another(voice, job, answer)
        return
    if answer.none >= _UNKNOWN_FROM and answer.none > first.probability:
        yield voice.say("trouble.unknown", chance=percent(answer.none))
        return
    second = answer.causes[1] if len(answer.causes) > 1 and answer.several >= SEVERAL else None
    other = cause_label(voice, job, second) if second else ""
    if answer.settled:
        yield voice.say("trouble.settled", cause=label, chance=chance)
        if second:
            yield voice.say("trouble.second", chance=percent(answer.several), cause=other)
        return
    yield voice.say("trouble.likely", cause=cause_label(voice, job, first), chance=chance)
    for cause in (c for c in answer.causes[1:2] if c.probability >= _NAMED_FROM):
        yield voice.say("trouble.then", cause=cause_label(voice, job, cause), chance=percent(cause.probability))
    if second:
        two = {"cause": cause_label(voice, job, first), "other": other, "chance": percent(answer.several)}
        yield voice.say("trouble.two", **two)


def _is_out(job: Job, answer: CylinderAnswer, cause: Cause) -> bool:
    """Whether a part that may be the cause serves the cylinder no more."""
    engine = job.engine(answer.place.engine)
    if not cause.part or engine is None:
        return False
    kind = cause.part.partition("/")[0]
    return job.mounted().get((kind, engine.seat(kind, answer.place.cylinder))) != cause.part


def _another(voice: Voice, job: Job, answer: CylinderAnswer) -> Iterable[str]:
    """For a cylinder that is still in trouble though the likeliest part is out of it."""
    first = answer.causes[0]
    left = next((c for c in answer.causes if c.probability >= _NAMED_FROM and not _is_out(job, answer, c)), None)
    place, label = answer.place.cylinder, capital(cause_label(voice, job, first))
    yield voice.say("trouble.another", cause=label, chance=percent(first.probability), n=place, state=answer.state)
    if left:
        chance = percent(left.probability)
        yield voice.say("trouble.then", cause=cause_label(voice, job, left), chance=chance)


def earlier_words(job: Job) -> Iterable[str]:
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


def ruled_out(job: Job, diagnosis: Diagnosis) -> tuple[str, ...]:
    """What an entry put out of the question, parts first, each once."""
    voice = voice_of(job.units)
    homes = {p.id: p.home.cylinder for p in job.parts if p.home}
    out = [c for a in asked(diagnosis) for c in a.ruled_out if is_cleared(c) and _belongs(c, a, homes)]
    out.sort(key=_reach)
    return tuple(dict.fromkeys(cause_label(voice, job, c).partition(":")[0] for c in out))


def _belongs(cause: Cause, answer: CylinderAnswer, homes: Mapping[str, int]) -> bool:
    """A part that only stood in the cylinder for a test says little to a reader."""
    return not cause.part or homes.get(cause.part) == answer.place.cylinder


def _known(job: Job, diagnosis: Diagnosis) -> Iterable[str]:
    """For a case that is still open: what is out of the question, and of which cylinders nothing is known."""
    if diagnosis.standing not in ("looking", "found"):
        return
    voice = voice_of(job.units)
    cleared = ruled_out(job, diagnosis)
    if cleared:
        yield voice.say("trouble.ruled_out", causes=", ".join(cleared[:MOST_CLEARED]))
    unknown = [str(p.cylinder) for p, state in diagnosis.states if state == "not known"]
    if unknown and len(unknown) < len(diagnosis.states):
        yield voice.say("trouble.not_tested", places=listed(unknown))


def _in_vain(job: Job, diagnosis: Diagnosis) -> Iterable[str]:
    """For a case that is still open: numbers that nothing stands beside, and what would make them count."""
    entries = not_used(job, diagnosis)
    if entries and diagnosis.standing in ("looking", "found"):
        yield voice_of(job.units).say("trouble.not_used", entries=listed(entries))


def not_used(job: Job, diagnosis: Diagnosis) -> tuple[str, ...]:
    """Entries with numbers that no table can use: 'timing, 4 May'."""
    voice = voice_of(job.units)
    measured = {r.entry for r in job.readings if r.counts and r.value.quantity is not None}
    entries = [job.entries[e].entry for e in diagnosis.unread if e in measured and not is_hidden(job, e)]
    return tuple(dict.fromkeys(f"{e.kind}, {voice.day(e.day)}" if e.day else e.kind for e in entries))


def _reach(cause: Cause) -> int:
    """Parts first, then what stays with the cylinder, then what several share."""
    return 0 if cause.part else 1 if cause.scope == "place" else 2


def _next(job: Job, diagnosis: Diagnosis) -> str:
    step = next((s for s in diagnosis.next if not waits_for(job, s)), None)
    if step is None or diagnosis.standing in ("proved", "handed over"):
        return ""
    title = f"{step.title[:1].lower()}{step.title[1:]}"
    return sentence(voice_of(job.units).say("trouble.next", title=title, minutes=minutes_short(step.minutes)))


def _handed(job: Job, diagnosis: Diagnosis) -> str:
    """Not where it came back since."""
    voice = voice_of(job.units)
    if job.handed_over is None or diagnosis.standing != "handed over":
        return ""
    return sentence(voice.say("proof.handed_back", day=voice.date(job.handed_over)))
